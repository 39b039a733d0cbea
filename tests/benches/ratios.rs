//! `cargo bench --bench ratios`: the targets of speed, as ratios within one run, so that the machine does not matter.
//!
//! Each figure is the median of several rounds; what is compared is timed in turn within a round. It ends with 1 where a
//! target is missed.
#![allow(clippy::panic)]

mod generator;

use std::path::PathBuf;
use std::time::{Duration, Instant};

use fairlead::pipeline;
use fairlead::spec::model::Spec;

const ROUNDS: usize = 7;

/// Checking the largest sample, in times of what plain YAML takes.
const MOST_OF_YAML: f64 = 5.0;

/// Ten times the conductors, in times of the time.
const MOST_GROWTH: f64 = 12.0;

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times.get(times.len() / 2).copied().unwrap_or_default()
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

fn check(path: &std::path::Path) {
    let reading = pipeline::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let resolved = reading.resolve().unwrap_or_else(|u| panic!("{:?}", u.findings));
    std::hint::black_box(resolved.judge(None));
}

struct Sample {
    size: usize,
    path: PathBuf,
    text: String,
    plain: Vec<Duration>,
    check: Vec<Duration>,
}

fn main() {
    let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("no folder for specs: {e}"));
    let mut samples: Vec<Sample> = [100, 1_000, 10_000]
        .into_iter()
        .map(|size| {
            let text = generator::spec(1, size);
            let path = folder.path().join(format!("{size}.yaml"));
            std::fs::write(&path, &text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            Sample { size, path, text, plain: Vec::new(), check: Vec::new() }
        })
        .collect();
    for round in 0..=ROUNDS {
        for sample in &mut samples {
            let plain = timed(|| {
                let spec: Result<Spec, _> = serde_yaml::from_str(&sample.text);
                std::hint::black_box(spec.is_ok());
            });
            let check = timed(|| check(&sample.path));
            // The first round warms up.
            if round > 0 {
                sample.plain.push(plain);
                sample.check.push(check);
            }
        }
    }
    println!("{:>10} {:>14} {:>12} {:>8} {:>10}", "conductors", "plain YAML", "check", "ratio", "10x size");
    let mut before: Option<Duration> = None;
    let mut missed = false;
    let largest = samples.len() - 1;
    for (i, sample) in samples.into_iter().enumerate() {
        let (plain, check) = (median(sample.plain), median(sample.check));
        let ratio = check.as_secs_f64() / plain.as_secs_f64();
        let growth = before.map(|b| check.as_secs_f64() / b.as_secs_f64());
        let words = growth.map(|g| format!("{g:.1}x")).unwrap_or_default();
        println!("{:>10} {plain:>14.2?} {check:>12.2?} {ratio:>7.2}x {words:>10}", sample.size);
        missed |= i == largest && ratio > MOST_OF_YAML;
        missed |= growth.is_some_and(|g| g > MOST_GROWTH);
        before = Some(check);
    }
    println!(
        "targets: check of 10000 at most {MOST_OF_YAML}x plain YAML; 10x the conductors at most {MOST_GROWTH}x the time"
    );
    if missed {
        println!("a target is missed");
        std::process::exit(1);
    }
}
