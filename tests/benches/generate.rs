//! `cargo run --example generate -- SEED CONDUCTORS` prints a spec of that size.

mod generator;

fn main() -> std::process::ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let asked = match args.as_slice() {
        [seed, size] => seed.parse::<u64>().ok().zip(size.parse::<usize>().ok()),
        _ => None,
    };
    let Some((seed, size)) = asked else {
        eprintln!("usage: generate SEED CONDUCTORS, both whole numbers");
        return std::process::ExitCode::from(2);
    };
    print!("{}", generator::spec(seed, size));
    std::process::ExitCode::SUCCESS
}
