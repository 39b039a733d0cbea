//! A set of files and a folder in; the folder replaced as a whole, or left as it was.
//!
//! The new packet is written beside the folder and then takes its place by renaming, so that nobody ever sees half
//! of one. A former packet goes only if every file in it stands in its own manifest with the same contents:
//! what somebody put or changed there is not the tool's to delete.

use std::collections::BTreeMap;
use std::fmt;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use super::file_set::{FileSet, sha256};
use super::manifest::{FILE_NAME, Manifest};

/// How many strange files are named before the rest is counted.
const NAMED: usize = 5;

/// Why nothing was written.
#[derive(Debug)]
pub enum WriteError {
    /// The path is no folder, but a file or a link.
    NotAFolder(PathBuf),
    /// The path has no name that a folder beside it could take, as `/` or `..`.
    NoName(PathBuf),
    /// The folder holds files that no packet put there; their names.
    Foreign(PathBuf, Vec<String>),
    /// The folder holds files that were changed after a packet put them there; their names.
    Changed(PathBuf, Vec<String>),
    /// A file of that name is there already.
    Exists(PathBuf),
    /// The system refused.
    System(PathBuf, io::Error),
    /// The system refused while the folders were being exchanged, and the former packet now lies elsewhere.
    Moved(PathBuf, PathBuf, io::Error),
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WriteError::NotAFolder(path) => {
                let path = path.display();
                write!(f, "`{path}` is a file or a link; name a folder for the packet with `-o`")
            }
            WriteError::NoName(path) => {
                write!(f, "`{}` cannot be replaced by a packet; name a new folder with `-o`", path.display())
            }
            WriteError::Foreign(path, names) => {
                let (path, names) = (path.display(), listed(names));
                write!(
                    f,
                    "`{path}` holds what no packet put there: {names}; move that away, or name another folder with `-o`"
                )
            }
            WriteError::Changed(path, names) => {
                let (path, names) = (path.display(), listed(names));
                write!(
                    f,
                    "in `{path}` these were changed after they were written: {names}; move them away, or name another folder with `-o`"
                )
            }
            WriteError::Exists(path) => {
                write!(f, "`{}` is there already and is not overwritten; name another file", path.display())
            }
            WriteError::System(path, error) => write!(f, "`{}`: {error}", path.display()),
            WriteError::Moved(path, to, error) => write!(
                f,
                "`{}`: {error}; the former packet lies in `{}`, rename it back",
                path.display(),
                to.display()
            ),
        }
    }
}

impl std::error::Error for WriteError {}

fn listed(names: &[String]) -> String {
    let mut text: Vec<String> = names.iter().take(NAMED).map(|n| format!("`{n}`")).collect();
    if names.len() > NAMED {
        text.push(format!("{} more", names.len() - NAMED));
    }
    text.join(", ")
}

/// Puts `set` and its manifest into `folder`, in place of the packet that is there.
///
/// # Errors
/// Every case of [`WriteError`]; the folder is then as it was, except for [`WriteError::Moved`].
pub fn replace_folder(folder: &Path, set: &FileSet, manifest: &Manifest) -> Result<(), WriteError> {
    let system = |path: &Path| {
        let path = path.to_owned();
        move |error: io::Error| WriteError::System(path, error)
    };
    if folder.file_name().is_none() {
        return Err(WriteError::NoName(folder.to_owned()));
    }
    let former = may_replace(folder)?;
    let parent = match folder.parent() {
        Some(parent) if parent != Path::new("") => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    fs::create_dir_all(&parent).map_err(system(&parent))?;
    let beside =
        tempfile::Builder::new().prefix(".fairlead-").tempdir_in(&parent).map_err(system(&parent))?;
    let fresh = beside.path().join("new");
    fs::create_dir(&fresh).map_err(system(&fresh))?;
    let json = manifest.to_json();
    for (name, bytes) in set.iter().chain([(FILE_NAME, json.as_bytes())]) {
        let path = fresh.join(name);
        write_new(&path, bytes).map_err(system(&path))?;
    }
    if !former {
        // Renaming onto an empty folder is refused by some systems.
        match fs::remove_dir(folder) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(system(folder)(error)),
            _ => return fs::rename(&fresh, folder).map_err(system(folder)),
        }
    }
    let aside = beside.path().join("former");
    fs::rename(folder, &aside).map_err(system(folder))?;
    // Between the first look and the renaming somebody may have put a file there.
    let exchanged =
        may_replace(&aside).map(drop).and_then(|()| fs::rename(&fresh, folder).map_err(system(folder)));
    let Err(refusal) = exchanged else { return Ok(()) };
    match fs::rename(&aside, folder) {
        Ok(()) => Err(refusal),
        Err(error) => Err(WriteError::Moved(folder.to_owned(), beside.keep().join("former"), error)),
    }
}

/// Writes one new file.
///
/// # Errors
/// [`WriteError::Exists`] where anything has that name, [`WriteError::System`] where the system refuses.
pub fn new_file(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    write_new(path, bytes).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => WriteError::Exists(path.to_owned()),
        _ => WriteError::System(path.to_owned(), error),
    })
}

fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = fs::File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// True where a packet stands at `folder` that may go; false where nothing or an empty folder is there.
fn may_replace(folder: &Path) -> Result<bool, WriteError> {
    let system = |error| WriteError::System(folder.to_owned(), error);
    match fs::symlink_metadata(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(error) => return Err(system(error)),
        Ok(there) if !there.is_dir() => return Err(WriteError::NotAFolder(folder.to_owned())),
        Ok(_) => {}
    }
    let known = match fs::read(folder.join(FILE_NAME)) {
        Ok(bytes) => Manifest::read(&bytes).map_or_else(BTreeMap::new, |m| {
            m.files.into_iter().chain([(FILE_NAME.to_owned(), sha256(&bytes))]).collect()
        }),
        Err(_) => BTreeMap::new(),
    };
    let (mut foreign, mut changed, mut any) = (Vec::new(), Vec::new(), false);
    for entry in fs::read_dir(folder).map_err(system)? {
        let entry = entry.map_err(system)?;
        any = true;
        let name = entry.file_name().to_string_lossy().into_owned();
        let is_file = entry.file_type().map_err(system)?.is_file();
        match known.get(&name) {
            Some(digest) if is_file => {
                if *digest != sha256(&fs::read(entry.path()).map_err(system)?) {
                    changed.push(name);
                }
            }
            _ => foreign.push(name),
        }
    }
    foreign.sort();
    changed.sort();
    if !foreign.is_empty() {
        return Err(WriteError::Foreign(folder.to_owned(), foreign));
    }
    if !changed.is_empty() {
        return Err(WriteError::Changed(folder.to_owned(), changed));
    }
    Ok(any)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packet(text: &str) -> (FileSet, Manifest) {
        let mut set = FileSet::default();
        set.add("index.html", text);
        set.add("cut-list.csv", "a\r\n");
        let mut manifest = Manifest {
            made_by: "fairlead 0.1.0".into(),
            title: String::new(),
            drawing: String::new(),
            revision: None,
            built_despite_findings: false,
            inputs: BTreeMap::new(),
            files: BTreeMap::new(),
        };
        manifest.enter(&set);
        (set, manifest)
    }

    fn put(folder: &Path, text: &str) -> Result<(), WriteError> {
        let (set, manifest) = packet(text);
        replace_folder(folder, &set, &manifest)
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_packet_takes_the_place_of_the_former_one_and_leaves_nothing_beside() {
        let room = tempfile::tempdir().unwrap();
        let folder = room.path().join("deep/out");
        put(&folder, "one").unwrap();
        assert_eq!(names(&folder), ["cut-list.csv", "index.html", "manifest.json"]);
        put(&folder, "two").unwrap();
        assert_eq!(fs::read_to_string(folder.join("index.html")).unwrap(), "two");
        assert_eq!(names(&room.path().join("deep")), ["out"]);
    }

    #[test]
    fn an_empty_folder_is_taken() {
        let room = tempfile::tempdir().unwrap();
        let folder = room.path().join("out");
        fs::create_dir(&folder).unwrap();
        put(&folder, "one").unwrap();
        assert_eq!(names(&folder).len(), 3);
    }

    #[test]
    fn what_others_put_there_stays_and_is_named() {
        let room = tempfile::tempdir().unwrap();
        let folder = room.path().join("out");
        put(&folder, "one").unwrap();
        fs::write(folder.join("notes.txt"), "mine").unwrap();
        fs::create_dir(folder.join("photos")).unwrap();
        let said = put(&folder, "two").unwrap_err().to_string();
        assert!(said.contains("`notes.txt`, `photos`"), "{said}");
        assert_eq!(fs::read_to_string(folder.join("index.html")).unwrap(), "one");
        assert_eq!(names(room.path()), ["out"]);
    }

    #[test]
    fn what_was_changed_stays_and_is_named() {
        let room = tempfile::tempdir().unwrap();
        let folder = room.path().join("out");
        put(&folder, "one").unwrap();
        fs::write(folder.join("cut-list.csv"), "checked by hand").unwrap();
        let said = put(&folder, "two").unwrap_err().to_string();
        assert!(said.contains("changed") && said.contains("`cut-list.csv`"), "{said}");
    }

    #[test]
    fn a_folder_without_a_manifest_of_ours_is_left_alone() {
        let room = tempfile::tempdir().unwrap();
        let folder = room.path().join("out");
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("manifest.json"), "{\"files\": {}}").unwrap();
        assert!(
            matches!(put(&folder, "x"), Err(WriteError::Foreign(_, names)) if names == ["manifest.json"])
        );
    }

    #[test]
    fn files_roots_and_parents_are_refused() {
        let room = tempfile::tempdir().unwrap();
        let file = room.path().join("file");
        fs::write(&file, "mine").unwrap();
        assert!(matches!(put(&file, "x"), Err(WriteError::NotAFolder(_))));
        assert!(matches!(put(Path::new("/"), "x"), Err(WriteError::NoName(_))));
        assert!(matches!(put(Path::new(".."), "x"), Err(WriteError::NoName(_))));
        assert!(matches!(put(&file.join("below"), "x"), Err(WriteError::System(..))));
        assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    }

    #[cfg(unix)]
    #[test]
    fn links_are_refused_and_not_followed() {
        let room = tempfile::tempdir().unwrap();
        let real = room.path().join("real");
        put(&real, "one").unwrap();
        let link = room.path().join("link");
        std::os::unix::fs::symlink(&real, &link).unwrap();
        assert!(matches!(put(&link, "two"), Err(WriteError::NotAFolder(_))));
        let inside = real.join("index.html");
        fs::remove_file(&inside).unwrap();
        std::os::unix::fs::symlink("/etc/hostname", &inside).unwrap();
        assert!(matches!(put(&real, "two"), Err(WriteError::Foreign(..))));
    }

    #[test]
    fn a_new_file_never_overwrites() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("spec.yaml");
        new_file(&path, b"one").unwrap();
        assert!(matches!(new_file(&path, b"two"), Err(WriteError::Exists(_))));
        assert_eq!(fs::read_to_string(&path).unwrap(), "one");
    }
}
