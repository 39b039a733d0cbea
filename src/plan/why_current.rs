//! Why a conductor carries what it carries, may carry what it may, and gets as warm as it gets.

use super::load_words::{said_by, served_pin};
use super::why::{Asked, Derivation, Line};
use crate::graph::{Basis, Share, ambient_of, by_table, steady};
use crate::harness::ConductorId;
use crate::quantity::{Current, Temperature};
use crate::trade::bundled::Bundled;
use crate::trade::limit::Reading;
use crate::trade::table_rating::TableRating;
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::wire_table::conductor_temperature;

const TABLE: &str = "FAA AC 43.13-1B CHG 1 Table 11-9";

/// Current, what the wire may carry by both methods, its temperature, and what its insulation stands.
pub(super) fn figures(asked: &Asked, id: ConductorId, told: &mut Derivation) {
    current(asked, id, told);
    let table = by_table(asked.h, asked.library, asked.routing, id);
    if let Some(rating) = &table {
        by_the_table(asked, id, rating, told);
    }
    in_free_air(asked, id, told);
    insulation(asked, id, table.as_ref(), told);
}

fn current(asked: &Asked, id: ConductorId, told: &mut Derivation) {
    let currents = &asked.loading.currents;
    // Not rounded, so that the terms add up as they are printed.
    let shown = currents.in_conductor(id).map(|c| c.to_string());
    let shares = currents.shares(id);
    let law = "Kirchhoff's first law";
    let summed = matches!(currents.basis(id), Basis::Loads | Basis::AtMost);
    let (value, mut terms) = match (currents.basis(id), shown) {
        (Basis::NoLoad, _) => ("none: it measures, or ties a screen".to_owned(), Vec::new()),
        (Basis::Declared(span), Some(shown)) => {
            (shown, vec![Line::of("current of the circuit, as the spec says", "").at([span])])
        }
        (Basis::AtMost, Some(shown)) => {
            let line = Line::of("the most of the loads' current that can flow", "");
            (format!("at most {shown}"), vec![line.because("all that comes to where it may divide").by(law)])
        }
        (_, Some(shown)) => {
            (shown, vec![Line::of("sum of the loads", "").because("of those on one side of it").by(law)])
        }
        (Basis::Beside, None) => ("not known: it joins what is joined without it".to_owned(), Vec::new()),
        (_, None) => {
            ("not known: a load that it feeds does not say how much it takes".to_owned(), Vec::new())
        }
    };
    terms.extend(shares.iter().map(|share| of_share(asked, share, summed)));
    if let Some(total) = currents.in_conductor(id).filter(|_| summed) {
        let signed =
            |share: &Share| share.load.current.map(|c| if share.against { -c.abs() } else { c.abs() });
        let rest = total - shares.iter().filter_map(signed).sum();
        if rest < Current::ZERO {
            terms.push(Line::of("less, for loads meet that give and take", rest.to_string()));
        } else if rest > Current::ZERO {
            let words = "more, for what one side gives the other does not take";
            terms.push(Line::of(words, rest.to_string()).because("the larger of the two counts"));
        }
    }
    told.figure("current", value, terms);
}

/// A load in the conductor: a term of the sum, or only what is behind a current that is said otherwise.
fn of_share(asked: &Asked, share: &Share, summed: bool) -> Line {
    let h = asked.h;
    let (words, takes) = match share.load.current.map(Current::abs) {
        None => ("", "not known".to_owned()),
        Some(current) if !summed => ("behind it: ", current.to_string()),
        Some(current) if share.against => ("less, for it goes another way: ", (-current).to_string()),
        Some(current) => ("", current.to_string()),
    };
    let wire = share.load.pin().and_then(|pin| asked.loading.electrical.conductors_at(pin).first());
    Line::of(format!("{words}{}", served_pin(h, share.load)), takes)
        .at(wire.map(|c| h.circuit(h.conductor(*c).circuit).span))
        .by(said_by(h, share.load))
}

fn by_the_table(asked: &Asked, id: ConductorId, rating: &TableRating, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let c = h.conductor(id);
    let words = format!("{} at {}", c.gauge, rating.limit.show(units));
    let caution = rating.reading.caution().map_or_else(String::new, |caution| format!(" ({caution})"));
    let column = Line::of(words, rating.tabled.show(units))
        .at(c.wire_span)
        .because("33 or more wires (9 from 8 AWG on), 20 % of capacity, 70 °C, 60,000 ft")
        .by(format!("{TABLE}{caution}"));
    let mut terms = vec![column];
    if let Some((zone, ambient)) = ambient_of(h, asked.routing, id).hottest {
        let zone = h.zone(zone);
        let words = format!("times, for {} in {}", ambient.show(units), zone.name);
        let line = Line::of(words, format!("{:.3}", rating.factor.ratio())).at(zone.ambient.map(|a| a.span));
        terms.push(
            line.because("√((limit − ambient) / (class − 70 °C)), 1 up to 70 °C")
                .by("heat made against heat lost"),
        );
    }
    told.figure("ampacity by the table", rating.ampacity.show(units), terms);
}

/// Of all runs that are passed, the one in which it may carry least.
fn in_free_air(asked: &Asked, id: ConductorId, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let Some(path) = asked.routing.path_of(h, id) else { return };
    let rated = |run| Some((run, asked.loading.ratings.in_run(h, asked.library, id, run)?.ok()?));
    let least = path.runs.iter().filter_map(|run| rated(*run)).min_by_key(|(run, r)| (r.ampacity, *run));
    let Some((run, rating)) = least else { return };
    let Bundled { rise, free_air, bundle, altitude, ampacity } = rating;
    let zone = h.zone(h.run(run).zone);
    let mut terms = vec![
        Line::of(format!("least in run {}", h.run(run).name), "").at([h.run(run).span]),
        Line::of(
            format!("alone in free air, {} warmer than {}", rise.show(units), zone.name),
            free_air.current.show(units),
        )
        .at(zone.ambient.map(|a| a.span))
        .by(free_air.source()),
    ];
    if let Some(load) = asked.loading.ratings.run(run) {
        let words = format!("times, for {} wires at {} of their capacity", load.wires, load.load.show(units));
        let mut formula = format!("they carry {} together", load.carried.show(units));
        if load.unknown > 0 {
            formula.push_str(&format!("; {} of unknown current taken as fully loaded", load.unknown));
        }
        terms.push(
            Line::of(words, format!("{:.3}", bundle.share.ratio()))
                .because(formula)
                .by(with_caution("FAA AC 43.13-1B CHG 1 par. 11-69", bundle.reading)),
        );
    }
    let feet = asked.loading.ratings.altitude().inches() / 12.0;
    let ceiling = h.header.ceiling;
    terms.push(
        Line::of(format!("times, for {feet:.0} ft"), format!("{:.3}", altitude.share.ratio()))
            .at(ceiling.map(|c| c.span))
            .by_default(ceiling.is_none())
            .by(with_caution("FAA AC 43.13-1B CHG 1 par. 11-69", altitude.reading)),
    );
    told.figure("ampacity by the free-air method", ampacity.show(units), terms);
}

fn with_caution(source: &str, reading: Reading) -> String {
    reading.caution().map_or_else(|| source.to_owned(), |caution| format!("{source} ({caution})"))
}

fn insulation(asked: &Asked, id: ConductorId, table: Option<&TableRating>, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let c = h.conductor(id);
    let wire = asked.library.wires.get(c.wire);
    let Some(rated) = wire.rated else { return };
    let hottest = ambient_of(h, asked.routing, id).hottest;
    let current = steady(h, &asked.loading.currents, &asked.loading.ground, id);
    if let (Some((zone, ambient)), Some(current)) = (hottest, current) {
        let zone = h.zone(zone);
        let mut terms = vec![
            Line::of(format!("ambient of {}", zone.name), ambient.show(units))
                .at(zone.ambient.map(|a| a.span)),
        ];
        let warm = match table.filter(|_| current > Current::ZERO && c.alloy == Alloy::Copper) {
            Some(table) => {
                let warm = conductor_temperature(ambient, table.limit, current, table.ampacity);
                let rise = warm.above(ambient);
                terms.push(
                    Line::of("rise by its own current", rise.show(units))
                        .because("(limit − ambient) √(current / ampacity)")
                        .by("FAA AC 43.13-1B CHG 1 page 11-22"),
                );
                warm
            }
            None => ambient,
        };
        told.figure("temperature of the conductor", warm.show(units), terms);
    }
    let mut terms = vec![Line::of("as its part says", rated.show(units))];
    if let Some((zone, ambient)) = hottest {
        terms.push(
            against(format!("hottest zone it passes, {}", h.zone(zone).name), rated, ambient, asked)
                .at(h.zone(zone).ambient.map(|a| a.span)),
        );
    }
    let runs = asked.routing.path_of(h, id).map_or(&[][..], |path| &path.runs);
    for run in runs.iter().map(|run| h.run(*run)) {
        if let Some(surface) = run.surface {
            let line = match &run.cover {
                Some(cover) => Line::of(
                    format!("surface beside {}, under {}", run.name, cover.value),
                    surface.value.show(units),
                ),
                None => {
                    against(format!("surface beside {}, uncovered", run.name), rated, surface.value, asked)
                }
            };
            terms.push(line.at([surface.span]));
        }
    }
    told.figure("insulation stands", rated.show(units), terms);
}

/// What is left up to what the insulation stands.
fn against(words: String, rated: Temperature, hot: Temperature, asked: &Asked) -> Line {
    let units = asked.h.header.units;
    let left = rated.above(hot);
    let formula = if rated >= hot {
        format!("leaves {}", left.show(units))
    } else {
        format!("too hot by {}", left.abs().show(units))
    };
    Line::of(words, hot.show(units)).because(formula)
}
