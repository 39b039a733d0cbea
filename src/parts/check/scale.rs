//! What a port says of its readings in; a scale that cannot be read backwards, or units that do not agree, out.

use super::Report;
use crate::parts::model::Port;
use crate::parts::words::PortKind;
use crate::quantity::{Signal, Voltage};

pub(super) fn check(name: &str, port: &Port, report: &mut Report<'_>) {
    let path = |field| ["ports", name, field];
    if let [only] = port.scale.as_slice() {
        let what = format!("has a scale of one point ({}) at port `{name}`", only.reads);
        report.fault(&path("scale"), what, "give at least two points, or leave it out");
    }
    for pair in port.scale.windows(2) {
        let [a, b] = pair else { continue };
        let alike = matches!(
            (a.gives, b.gives),
            (Signal::Voltage(_), Signal::Voltage(_)) | (Signal::Resistance(_), Signal::Resistance(_))
        );
        if a.reads.unit() != b.reads.unit() || !alike {
            let what = format!("mixes units in the scale of port `{name}`: {} and {}", a.gives, b.gives);
            report.fault(&path("scale"), what, "write all points in the same two units");
        } else if b.reads.value() <= a.reads.value() || a.gives == b.gives {
            let what =
                format!("has a scale at port `{name}` that does not rise from {} to {}", a.reads, b.reads);
            report.fault(
                &path("scale"),
                what,
                "order the points by their reading, each giving something else",
            );
        }
    }
    if let (Some(tolerance), Some(first)) = (port.tolerance, port.scale.first())
        && tolerance.unit() != first.reads.unit()
    {
        let what = format!("has a tolerance in {} at port `{name}`", tolerance.unit().word());
        let remedy = format!("write it in {}, as its scale is", first.reads.unit().word());
        report.fault(&path("tolerance"), what, remedy);
    }
    if port.tolerance.is_some_and(|t| t.value() <= 0.0) {
        let what = format!("has a tolerance of nothing at port `{name}`");
        report.fault(&path("tolerance"), what, "write the largest error that is acceptable, or leave it out");
    }
    if let Some(bias) = port.bias {
        if !port.takes(PortKind::Resistance) {
            let what = format!("has a `bias` at port `{name}`, which reads no resistance");
            report.fault(&path("bias"), what, "leave it out");
        }
        if bias.volts <= Voltage::ZERO || bias.through.ohms() <= 0.0 {
            let what = format!("has a `bias` of nothing at port `{name}`");
            report.fault(&path("bias"), what, "write its voltage and its resistor, or leave it out");
        }
    }
}
