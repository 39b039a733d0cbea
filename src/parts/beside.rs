//! The folder of a spec and a path written in it in; the bytes of that file out, and never those of any other place.

use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::{Component, Path, PathBuf};

use crate::spec::decode;

/// Why a file beside a spec was not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// What is wrong: lower case, the path as written in backticks.
    pub message: String,
    /// One action that mends it.
    pub remedy: &'static str,
}

/// Reads the file `written`, a path relative to `spec_dir` that stays in its folder tree.
///
/// Refused are absolute paths, `..`, links that lead out of the folder, things that are no files, and files too large
/// for [`decode::decode`], which is what the bytes are for.
pub fn read_beside(spec_dir: &Path, written: &str) -> Result<Vec<u8>, Refusal> {
    let refuse = |message: String, remedy| Err(Refusal { message, remedy });
    let Some(relative) = plain_path(written) else {
        return refuse(
            format!("`{written}` does not name a file inside the folder of the spec"),
            "write the path from the folder of the spec downwards, without `..`, as in `parts/probes.yaml`",
        );
    };
    let cannot = |error: std::io::Error| Refusal {
        message: format!("`{written}` cannot be read: {}", reason(error.kind())),
        remedy: "check the path; it starts at the folder of the spec",
    };
    let folder = spec_dir.canonicalize().map_err(cannot)?;
    let path = folder.join(relative).canonicalize().map_err(cannot)?;
    if !path.starts_with(&folder) {
        return refuse(
            format!("`{written}` is a link that leads out of the folder of the spec"),
            "copy the file into the folder",
        );
    }
    let about = fs::metadata(&path).map_err(cannot)?;
    if !about.is_file() {
        return refuse(format!("`{written}` is no file"), "name a part file; each is named by itself");
    }
    let limit = decode::MAX_BYTES as u64;
    let mut bytes = Vec::new();
    // One byte more than is allowed tells a file that is too large, also one that grows while it is read.
    File::open(&path).and_then(|file| file.take(limit + 1).read_to_end(&mut bytes)).map_err(cannot)?;
    if bytes.len() as u64 > limit {
        let mib = limit / 1_048_576;
        return refuse(
            format!("`{written}` is over {mib} MiB long, and such files are not read"),
            "split the part file",
        );
    }
    Ok(bytes)
}

/// The path, where it leads downwards only; also what makes two spellings of one path equal.
pub(super) fn plain_path(written: &str) -> Option<PathBuf> {
    // A backslash parts folders on some systems only, and a colon may name a drive or a stream.
    if written.contains(['\\', ':', '\0']) {
        return None;
    }
    let mut plain = PathBuf::new();
    for component in Path::new(written).components() {
        match component {
            Component::Normal(name) => plain.push(name),
            Component::CurDir => {}
            _ => return None,
        }
    }
    (!plain.as_os_str().is_empty()).then_some(plain)
}

/// The same words on every system.
fn reason(kind: ErrorKind) -> &'static str {
    match kind {
        ErrorKind::NotFound | ErrorKind::NotADirectory => "there is no such file",
        ErrorKind::PermissionDenied => "it may not be read by you",
        ErrorKind::IsADirectory => "it is a folder",
        _ => "the system gave an error while reading",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir_all(folder.path().join("spec/parts")).unwrap();
        fs::write(folder.path().join("spec/parts/own.yaml"), "devices: {}\n").unwrap();
        fs::write(folder.path().join("secret.yaml"), "x\n").unwrap();
        folder
    }

    #[test]
    fn reads_downwards_only() {
        let folder = folder();
        let spec = folder.path().join("spec");
        for good in ["parts/own.yaml", "./parts/own.yaml", "parts/./own.yaml"] {
            assert_eq!(read_beside(&spec, good).unwrap(), b"devices: {}\n", "{good}");
        }
        let absolute = folder.path().join("secret.yaml");
        for bad in [
            "../secret.yaml",
            "parts/../../secret.yaml",
            "parts/../parts/own.yaml",
            "",
            ".",
            "parts",
            "parts/none.yaml",
            "parts/own.yaml/x",
            "parts\\own.yaml",
            "C:own.yaml",
            absolute.to_str().unwrap(),
        ] {
            let refusal = read_beside(&spec, bad).unwrap_err();
            assert!(refusal.message.contains(&format!("`{bad}`")), "{bad}");
        }
        let missing = read_beside(&spec, "parts/none.yaml").unwrap_err();
        assert_eq!(missing.message, "`parts/none.yaml` cannot be read: there is no such file");
    }

    #[cfg(unix)]
    #[test]
    fn links_may_not_lead_out() {
        use std::os::unix::fs::symlink;
        let folder = folder();
        let spec = folder.path().join("spec");
        symlink(folder.path().join("secret.yaml"), spec.join("out.yaml")).unwrap();
        symlink(folder.path(), spec.join("up")).unwrap();
        symlink(spec.join("parts/own.yaml"), spec.join("in.yaml")).unwrap();
        for bad in ["out.yaml", "up/secret.yaml"] {
            assert!(read_beside(&spec, bad).unwrap_err().message.contains("leads out"), "{bad}");
        }
        assert!(read_beside(&spec, "in.yaml").is_ok());
        symlink("/dev/zero", spec.join("endless.yaml")).unwrap();
        assert!(read_beside(&spec, "endless.yaml").is_err());
    }
}
