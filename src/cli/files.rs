//! Reads inputs and writes outputs: a file appears whole or not at all.

use std::fs;
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// What went wrong with a file, in words that say what to do.
#[derive(Debug, thiserror::Error)]
#[error("{}: {why}", path.display())]
pub struct FileError {
    path: PathBuf,
    why: String,
    /// Whether there is no such file.
    missing: bool,
}

impl FileError {
    fn reading(path: &Path, error: &io::Error) -> Self {
        let why = match error.kind() {
            ErrorKind::NotFound => "there is no such file: check its name and folder".into(),
            ErrorKind::PermissionDenied => "you have no permission to read it".into(),
            ErrorKind::IsADirectory => "this is a folder: name a file in it".into(),
            _ => why(error),
        };
        FileError { path: path.into(), why, missing: error.kind() == ErrorKind::NotFound }
    }

    /// Whether a file to be read does not exist.
    pub fn is_missing(&self) -> bool {
        self.missing
    }

    fn of(path: &Path, why: String) -> Self {
        FileError { path: path.into(), why, missing: false }
    }

    fn writing(path: &Path, error: &io::Error) -> Self {
        let why = match error.kind() {
            ErrorKind::NotFound => "its folder does not exist".into(),
            ErrorKind::PermissionDenied => {
                "you have no permission to write there: choose another folder with -o".into()
            }
            ErrorKind::IsADirectory => {
                "a folder is where this file must go: move the folder, or choose another one with -o"
                    .into()
            }
            _ => why(error),
        };
        FileError::of(path, why)
    }

    /// What went wrong with standard output.
    pub fn printing(error: &io::Error) -> Self {
        FileError::of(Path::new("standard output"), why(error))
    }
}

/// The part of the message that reading and writing share.
fn why(error: &io::Error) -> String {
    match error.kind() {
        ErrorKind::NotADirectory => {
            "a part of this path is a file, not a folder: check the path".into()
        }
        ErrorKind::StorageFull | ErrorKind::WriteZero | ErrorKind::QuotaExceeded => {
            "the disk is full: free some space, or choose another folder with -o".into()
        }
        ErrorKind::ReadOnlyFilesystem => {
            "the disk is read-only: choose another folder with -o".into()
        }
        ErrorKind::InvalidFilename | ErrorKind::InvalidInput => {
            "the file system refuses this name: it is too long or has a character that is not allowed"
                .into()
        }
        // The system's own words, without its number.
        _ => {
            let words = error.to_string();
            words.split(" (os error").next().unwrap_or("failed").to_lowercase()
        }
    }
}

/// Whether two paths lead to one file, however they are written.
pub fn same_file(a: &Path, b: &Path) -> bool {
    let whole = |path: &Path| path.canonicalize();
    a == b || matches!((whole(a), whole(b)), (Ok(a), Ok(b)) if a == b)
}

/// The text of a file, or of standard input for `-`; a byte order mark at its start is left out.
pub fn read_text(path: &Path) -> Result<String, FileError> {
    let failed = |error: io::Error| FileError::reading(path, &error);
    let mut bytes = vec![];
    if path == Path::new("-") {
        io::stdin().read_to_end(&mut bytes).map_err(failed)?;
    } else {
        bytes = fs::read(path).map_err(failed)?;
    }
    let wrong = |why: String| FileError::of(path, why);
    if bytes.starts_with(&[0x1f, 0x8b]) {
        return Err(wrong(
            "the file is compressed (gzip): unpack it, or save it as plain SVG".into(),
        ));
    }
    let text = String::from_utf8(bytes).map_err(|e| {
        let good = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = good.iter().filter(|&&b| b == b'\n').count() + 1;
        wrong(format!("line {line} is not UTF-8 text: save the file as UTF-8"))
    })?;
    Ok(text.strip_prefix('\u{feff}').map(str::to_string).unwrap_or(text))
}

/// Names of the files in the folder of `path` with the same ending (all files if it has none), sorted; empty if the folder cannot
/// be read.
pub fn beside(path: &Path) -> Vec<String> {
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(entries) = fs::read_dir(folder) else { return vec![] };
    let (files, ends) = (entries.flatten().map(|e| e.path()), path.extension());
    let alike = files.filter(|f| f.is_file() && ends.is_none_or(|e| f.extension() == Some(e)));
    let mut names: Vec<String> =
        alike.filter_map(|f| Some(f.file_name()?.to_str()?.to_string())).collect();
    names.sort();
    names
}

/// Writes a new file; a file that exists already is left as it is.
pub fn write_new(path: &Path, text: &str) -> Result<(), FileError> {
    let failed = |error: io::Error| match error.kind() {
        ErrorKind::AlreadyExists => {
            let why =
                "this file exists already and is not overwritten: name another file with -o".into();
            FileError::of(path, why)
        }
        _ => FileError::writing(path, &error),
    };
    let mut file =
        fs::OpenOptions::new().write(true).create_new(true).open(path).map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)
}

/// Folders made for outputs and still empty: a program that ends at once removes them.
static UNFILLED: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Adds folders to the list of empty ones (`made`), or takes them off the list.
fn note_unfilled(folders: &[PathBuf], made: bool) {
    let mut known = UNFILLED.lock().unwrap_or_else(PoisonError::into_inner);
    known.retain(|f| !folders.contains(f));
    if made {
        known.extend_from_slice(folders);
    }
}

/// Removes the folders that this run made and left empty; the system does not remove a folder with anything in it.
pub fn remove_unfilled() {
    let known = UNFILLED.lock().unwrap_or_else(PoisonError::into_inner);
    for folder in known.iter().rev() {
        let _ = fs::remove_dir(folder);
    }
}

/// Outputs kept under temporary names until all are written, then renamed together.
///
/// Nothing on disk has changed if it is dropped before [`Outputs::publish`].
pub struct Outputs {
    folder: PathBuf,
    /// Folders that were made for it, the outermost first.
    made: Vec<PathBuf>,
    files: Vec<(tempfile::NamedTempFile, PathBuf)>,
}

impl Outputs {
    /// Outputs into `folder`, made if absent; tests at once whether files can be written there.
    pub fn into_folder(folder: &Path) -> Result<Self, FileError> {
        let failed = |error: io::Error| FileError::writing(folder, &error);
        if folder.is_file() {
            let why = "this is a file: -o needs a folder, which is made if absent".into();
            return Err(FileError::of(folder, why));
        }
        let missing = folder.ancestors().take_while(|f| !f.as_os_str().is_empty() && !f.exists());
        let mut made: Vec<PathBuf> = missing.map(Path::to_path_buf).collect();
        made.reverse();
        note_unfilled(&made, true);
        let outputs = Outputs { folder: folder.into(), made, files: vec![] };
        fs::create_dir_all(folder).map_err(failed)?;
        let mut trial = outputs.temporary().map_err(failed)?;
        trial.write_all(b"trial").map_err(failed)?;
        Ok(outputs)
    }

    fn temporary(&self) -> io::Result<tempfile::NamedTempFile> {
        tempfile::Builder::new()
            .prefix(".tabwright-")
            .permissions_like_umask()
            .tempfile_in(&self.folder)
    }

    /// Writes one file under a temporary name. Makes the folder again if it disappeared while the job ran.
    pub fn add(&mut self, name: &str, text: &str) -> Result<(), FileError> {
        let path = self.folder.join(name);
        let failed = |error: io::Error| FileError::writing(&path, &error);
        fs::create_dir_all(&self.folder).map_err(failed)?;
        let mut file = self.temporary().map_err(failed)?;
        file.write_all(text.as_bytes()).and_then(|()| file.flush()).map_err(failed)?;
        self.files.push((file, path));
        Ok(())
    }

    /// Gives every file its name; returns the names in order.
    pub fn publish(mut self) -> Result<Vec<PathBuf>, FileError> {
        // Names that cannot be given are found before the first is.
        for (_, path) in &self.files {
            if path.is_dir() {
                return Err(FileError::writing(path, &ErrorKind::IsADirectory.into()));
            }
        }
        let files = std::mem::take(&mut self.files);
        let count = files.len();
        let mut paths: Vec<PathBuf> = vec![];
        for (file, path) in files {
            file.persist(&path).map_err(|e| {
                let mut error = FileError::writing(&path, &e.error);
                if !paths.is_empty() {
                    error.why += &format!(
                        "; {} of {count} files are new, and the others are from an earlier run: run the command again before you cut",
                        paths.len()
                    );
                }
                error
            })?;
            paths.push(path);
        }
        note_unfilled(&self.made, false);
        self.made.clear();
        Ok(paths)
    }
}

impl Drop for Outputs {
    fn drop(&mut self) {
        self.files.clear();
        // Folders made for nothing go again; one with anything in it stays, which the system sees to.
        for folder in self.made.iter().rev() {
            let _ = fs::remove_dir(folder);
        }
        note_unfilled(&self.made, false);
    }
}

/// Temporary files are private by default; outputs should be as readable as any new file.
trait LikeUmask {
    fn permissions_like_umask(&mut self) -> &mut Self;
}

impl LikeUmask for tempfile::Builder<'_, '_> {
    #[cfg(unix)]
    fn permissions_like_umask(&mut self) -> &mut Self {
        use std::os::unix::fs::PermissionsExt;
        // The system takes the umask off this when it makes the file.
        self.permissions(fs::Permissions::from_mode(0o666))
    }

    #[cfg(not(unix))]
    fn permissions_like_umask(&mut self) -> &mut Self {
        self
    }
}
