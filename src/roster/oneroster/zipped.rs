//! The files of a zip, by name, into memory: nothing of it is ever unpacked onto the disk.
//!
//! In goes an archive, out come the bytes of files that stand at its root under exactly the name asked for. So no
//! path in it leads anywhere. Refused: what is no zip or a damaged one, files that are encrypted or grow
//! beyond [`LONGEST`], archives with very many files.

use std::io::{Read, Seek};

use zip::ZipArchive;

use super::Package;
use crate::diagnostic::{Diagnostic, Place};
use crate::table::ZIP;
use crate::text::{QUOTED, excerpt};

/// The most bytes one file may have once it is unpacked: several hundred thousand people.
pub const LONGEST: u64 = 1 << 28;

/// A package has some twenty files.
const MOST_FILES: usize = 1000;

/// How zip files begin; an empty one has another beginning, and nothing in it.
pub const BEGINNING: &[u8] = ZIP;

/// An opened archive.
pub struct Zipped<R> {
    archive: ZipArchive<R>,
    name: String,
}

impl<R: Read + Seek> Zipped<R> {
    /// Reads the list of files. `name` is the archive's name as the user typed it.
    ///
    /// # Errors
    /// What is no zip, or an absurd one.
    pub fn open(input: R, name: &str) -> Result<Self, Diagnostic> {
        let refused = |message: String| {
            Err(Diagnostic::error(name, Place::File, message)
                .help("export the files anew, or unpack them and name the folder"))
        };
        let archive = match ZipArchive::new(input) {
            Ok(archive) => archive,
            Err(_) => return refused("this is no zip file, or it was cut off".to_owned()),
        };
        if archive.len() > MOST_FILES {
            let message = format!(
                "expected some twenty files in the zip, found {}",
                archive.len()
            );
            return refused(message);
        }
        Ok(Self {
            archive,
            name: name.to_owned(),
        })
    }

    /// A folder in the archive that holds a file of this name.
    fn folder_with(&self, name: &str) -> Option<String> {
        let names = self.archive.file_names().filter_map(Result::ok);
        let mut folders = names.filter_map(|path| {
            let (folder, file) = path.rsplit_once('/')?;
            (file == name).then(|| folder.to_owned())
        });
        folders.next()
    }
}

impl<R: Read + Seek> Package for Zipped<R> {
    fn name(&self) -> &str {
        &self.name
    }

    fn bytes(&mut self, file: &str) -> Result<Option<Vec<u8>>, Diagnostic> {
        let name = super::path_of(&self.name, file);
        let refused = |message: String, help: &str| {
            Err(Diagnostic::error(&name, Place::File, message).help(help))
        };
        let Some(place) = self.archive.index_for_name(file) else {
            return match self.folder_with(file) {
                None => Ok(None),
                Some(folder) => refused(
                    format!(
                        "the file is in the folder '{}' of the zip",
                        excerpt(&folder, QUOTED)
                    ),
                    "in a package all files stand at the root: unpack it and name that folder",
                ),
            };
        };
        let found = match self.archive.by_index(place) {
            Ok(found) => found,
            Err(_) => {
                let message = "the file cannot be unpacked: it is locked with a password, or packed in a way that is not known here";
                let help = "export the files anew, without a password";
                return refused(message.to_owned(), help);
            }
        };
        let mut bytes = Vec::new();
        if found.take(LONGEST + 1).read_to_end(&mut bytes).is_err() {
            let help = "the zip is damaged: export the files anew";
            return refused("the file cannot be unpacked".to_owned(), help);
        }
        if bytes.len() as u64 > LONGEST {
            let help = "this is no list of a school; have the classes exported that you need";
            let message = format!("the file unpacks to more than {} mebibytes", LONGEST >> 20);
            return refused(message, help);
        }
        Ok(Some(bytes))
    }
}
