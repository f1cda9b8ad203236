//! Reading inputs and writing outputs: a file appears whole or not at all.

use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// What went wrong with a file.
#[derive(Debug, thiserror::Error)]
#[error("{}: {source}", path.display())]
pub struct FileError {
    path: PathBuf,
    source: std::io::Error,
}

/// The text of a file, or of standard input for `-`.
pub fn read_text(path: &Path) -> Result<String, FileError> {
    let failed = |source| FileError { path: path.into(), source };
    if path == Path::new("-") {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).map_err(failed)?;
        return Ok(text);
    }
    fs::read_to_string(path).map_err(failed)
}

/// Outputs kept under temporary names until all are written, then renamed together.
///
/// Dropped before [`Outputs::publish`], nothing has changed on disk.
pub struct Outputs {
    folder: PathBuf,
    files: Vec<(tempfile::NamedTempFile, PathBuf)>,
}

impl Outputs {
    /// Outputs into `folder`, made if absent.
    pub fn into_folder(folder: &Path) -> Result<Self, FileError> {
        fs::create_dir_all(folder).map_err(|source| FileError { path: folder.into(), source })?;
        Ok(Outputs { folder: folder.into(), files: vec![] })
    }

    /// Writes one file under a temporary name.
    pub fn add(&mut self, name: &str, text: &str) -> Result<(), FileError> {
        let path = self.folder.join(name);
        let failed = |source| FileError { path: path.clone(), source };
        let mut file = tempfile::Builder::new()
            .prefix(".tabwright-")
            .permissions_like_umask()
            .tempfile_in(&self.folder)
            .map_err(failed)?;
        file.write_all(text.as_bytes()).and_then(|()| file.flush()).map_err(failed)?;
        self.files.push((file, path));
        Ok(())
    }

    /// Gives every file its name; returns the names in order.
    pub fn publish(self) -> Result<Vec<PathBuf>, FileError> {
        let mut paths = vec![];
        for (file, path) in self.files {
            file.persist(&path).map_err(|e| FileError { path: path.clone(), source: e.error })?;
            paths.push(path);
        }
        Ok(paths)
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
