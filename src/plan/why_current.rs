//! Why a conductor carries what it carries, may carry what it may, and gets as warm as it gets.

use super::load_words::{said_by, served_pin};
use super::why::{Asked, Derivation, Line};
use crate::graph::{Ambient, Basis, Share, above_the_figures, ambient_of, by_table, steady};
use crate::harness::{ConductorId, ZoneId};
use crate::quantity::{Current, Fraction, Temperature, Units};
use crate::trade::bundled::Bundled;
use crate::trade::derating::Factor;
use crate::trade::limit::Reading;
use crate::trade::table_rating::TableRating;
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::wire_table::{conductor_temperature, warming_source};

const TABLE: &str = "FAA AC 43.13-1B CHG 1 Table 11-9";

/// What is computed for this harness.
const FREE_AIR: &str = "ampacity by the free-air method (the law)";
/// What is shown beside it.
const BY_TABLE: &str = "ampacity by the table (cross-check by rule of thumb)";

/// Current, what the wire may carry by both methods, its temperature, and what its insulation stands.
pub(super) fn figures(asked: &Asked, id: ConductorId, told: &mut Derivation) {
    current(asked, id, told);
    in_free_air(asked, id, told);
    let h = asked.h;
    let table = by_table(h, asked.library, asked.routing, id);
    match &table {
        Some(rating) => by_the_table(asked, id, rating, told),
        None if !may_be_rated(asked, id) => {}
        None if above_the_figures(h) => {
            let line =
                Line::of("the table is for 60,000 ft at most", "").at(h.header.ceiling.map(|c| c.span));
            told.figure(BY_TABLE, "not known", vec![line.by(TABLE)]);
        }
        None => {
            if let Some(zone) = ambient_of(h, asked.routing, id).unsaid {
                told.figure(BY_TABLE, no_ambient(asked, zone), vec![unsaid(asked, zone)]);
            }
        }
    }
    insulation(asked, id, table.as_ref(), told);
}

/// Of copper, with insulation that is rated.
fn may_be_rated(asked: &Asked, id: ConductorId) -> bool {
    let c = asked.h.conductor(id);
    c.alloy == Alloy::Copper && asked.library.wires.get(c.wire).rated.is_some()
}

/// Why a figure is not known that hangs on how hot it gets in a zone.
pub(super) fn no_ambient(asked: &Asked, zone: ZoneId) -> String {
    format!("not known: zone `{}` says no ambient", asked.h.zone(zone).name)
}

/// The zone that leaves a figure open.
fn unsaid(asked: &Asked, zone: ZoneId) -> Line {
    let zone = asked.h.zone(zone);
    Line::of(format!("how hot it gets in {}", zone.name), "not said").at([zone.span])
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
    told.figure(BY_TABLE, rating.ampacity.show(units), terms);
}

/// Of all runs that are passed, the one in which it may carry least.
fn in_free_air(asked: &Asked, id: ConductorId, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let Some(path) = asked.routing.path_of(h, id) else { return };
    if path.runs.is_empty() || !may_be_rated(asked, id) {
        return;
    }
    if above_the_figures(h) {
        let line = Line::of("the altitude curve ends at 60,000 ft", "").at(h.header.ceiling.map(|c| c.span));
        told.figure(FREE_AIR, "not known", vec![line.by("FAA AC 43.13-1B CHG 1 par. 11-69")]);
        return;
    }
    let rated = |run| Some((run, asked.loading.ratings.in_run(h, asked.library, id, run)?.ok()?));
    let least = path.runs.iter().filter_map(|run| rated(*run)).min_by_key(|(run, r)| (r.ampacity, *run));
    // Where a run is so hot that nothing is left, the others do not matter.
    let open = path.runs.iter().map(|run| h.run(*run).zone).find(|zone| h.zone(*zone).ambient.is_none());
    if let Some(zone) = open.filter(|_| least.is_none_or(|(_, r)| r.ampacity > Current::ZERO)) {
        let mut terms = vec![unsaid(asked, zone)];
        terms.extend(least.map(|(run, rating)| {
            let words = format!("least where it is said, in run {}", h.run(run).name);
            Line::of(words, rating.ampacity.show(units)).at([h.run(run).span])
        }));
        told.figure(FREE_AIR, no_ambient(asked, zone), terms);
        return;
    }
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
        .because(good_to(Some(free_air.within()), units))
        .by(free_air.source()),
    ];
    if let Some(load) = asked.loading.ratings.run(run) {
        let words = format!("times, for {} wires at {} of their capacity", load.wires, load.load.show(units));
        let mut formula = format!("they carry {} together", load.carried.show(units));
        if load.unknown > 0 {
            formula.push_str(&format!("; {} of unknown current taken as fully loaded", load.unknown));
        }
        let good = off_by(bundle);
        formula.push_str(&if good.is_empty() { good } else { format!("; {good}") });
        terms.push(
            Line::of(words, format!("{:.3}", bundle.share.ratio()))
                .because(formula)
                .by(with_caution("FAA AC 43.13-1B CHG 1 par. 11-69", bundle.reading)),
        );
    }
    let feet = asked.loading.ratings.altitude().inches() / 12.0;
    let ceiling = h.header.ceiling;
    let (words, formula) = match ceiling {
        Some(_) => (format!("times, for {feet:.0} ft"), off_by(altitude)),
        None => {
            let formula = "no `ceiling:` is given, and higher up it carries less";
            ("times, for sea level".to_owned(), formula.to_owned())
        }
    };
    terms.push(
        Line::of(words, format!("{:.3}", altitude.share.ratio()))
            .at(ceiling.map(|c| c.span))
            .because(formula)
            .by_default(ceiling.is_none())
            .by(with_caution("FAA AC 43.13-1B CHG 1 par. 11-69", altitude.reading)),
    );
    if ampacity > Current::ZERO {
        let words = "what its terms may be off, added up".to_owned();
        terms.push(Line::of(good_to(rating.within(), units), "").because(words));
    }
    told.figure(FREE_AIR, ampacity.show(units), terms);
}

/// How far off a figure may be, in percent of itself.
fn good_to(within: Option<Fraction>, units: Units) -> String {
    match within {
        Some(within) => format!("good to ± {}", within.show(units)),
        None => "how far off it may be is not known".to_owned(),
    }
}

/// How far off a factor may be; empty for one that is so by what the words mean.
fn off_by(factor: Factor) -> String {
    match factor.within {
        Some(within) if within == Fraction::ZERO => String::new(),
        Some(within) => format!("good to ± {:.2}", within.ratio()),
        None => "held against no figure above 35 wires".to_owned(),
    }
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
    let Ambient { hottest, unsaid: open } = ambient_of(h, asked.routing, id);
    let current = steady(h, &asked.loading.currents, &asked.loading.ground, id);
    let warms = current.is_some_and(|current| current > Current::ZERO) && c.alloy == Alloy::Copper;
    if let Some(zone) = open {
        told.figure("temperature of the conductor", no_ambient(asked, zone), vec![unsaid(asked, zone)]);
    } else if warms && table.is_none() {
        let why = match above_the_figures(h) {
            true => "the table is for 60,000 ft at most".to_owned(),
            false => format!("the table goes from 24 AWG to 4/0 AWG, not to {}", c.gauge),
        };
        told.figure("temperature of the conductor", format!("not known: {why}"), Vec::new());
    } else if let (Some((zone, ambient)), Some(current)) = (hottest, current) {
        let zone = h.zone(zone);
        let mut terms = vec![
            Line::of(format!("ambient of {}", zone.name), ambient.show(units))
                .at(zone.ambient.map(|a| a.span)),
        ];
        let warm = match table.filter(|_| warms) {
            Some(table) => {
                let warm = conductor_temperature(ambient, table.limit, current, table.ampacity);
                let rise = warm.above(ambient);
                terms.push(
                    Line::of("rise by its own current", rise.show(units))
                        .because("(limit − ambient) √(current / ampacity)")
                        .by(warming_source()),
                );
                warm
            }
            None => ambient,
        };
        told.figure("temperature of the conductor", warm.show(units), terms);
    }
    let mut terms = vec![Line::of("as its part says", rated.show(units))];
    let before = if open.is_some() { "hottest zone that says it" } else { "hottest zone it passes" };
    terms.extend(open.map(|zone| unsaid(asked, zone)));
    if let Some((zone, ambient)) = hottest {
        terms.push(
            against(format!("{before}, {}", h.zone(zone).name), rated, ambient, asked)
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
