//! Build script. The YAML files of the supplied parts in; the same data as JSON out, which the program takes in.
//!
//! YAML is for the people who keep the parts; reading it takes five times as long as JSON, and would be most of the
//! time that the check of a small spec takes.

use std::error::Error;
use std::io::Write;
use std::path::Path;
use std::{env, fs};

use serde_json::Value;

/// Fields that count. Every other bare number of the files is the mark of a cavity or the size of a contact, which is
/// text. A test holds the packed parts against the files read by the tool itself.
const COUNTS: [&str; 1] = ["ends"];

fn main() -> Result<(), Box<dyn Error>> {
    let here = Path::new("src/parts/library");
    let out = env::var_os("OUT_DIR").ok_or("cargo gives no OUT_DIR")?;
    // What cargo is told here is when to run this again.
    let mut cargo = std::io::stdout();
    writeln!(cargo, "cargo::rerun-if-changed={}", here.display())?;
    for entry in fs::read_dir(here)? {
        let path = entry?.path();
        let Some(name) = path.file_name().filter(|_| path.extension().is_some_and(|e| e == "yaml")) else {
            continue;
        };
        let text = fs::read_to_string(&path)?;
        let mut parts: Value =
            serde_yaml::from_str(&text).map_err(|error| format!("{}: {error}", path.display()))?;
        marks_to_text(&mut parts);
        fs::write(Path::new(&out).join(name).with_extension("json"), parts.to_string())?;
    }
    Ok(())
}

fn marks_to_text(value: &mut Value) {
    match value {
        Value::Number(number) => *value = Value::String(number.to_string()),
        Value::Array(items) => items.iter_mut().for_each(marks_to_text),
        Value::Object(fields) => {
            for (_, value) in fields.iter_mut().filter(|(key, _)| !COUNTS.contains(&key.as_str())) {
                marks_to_text(value);
            }
        }
        _ => {}
    }
}
