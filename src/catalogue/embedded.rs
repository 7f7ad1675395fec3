//! The demo catalogue inside the program: the invented Eddermouth Reuse Works.
//!
//! Every file is listed by hand, since a folder that is embedded as a whole is not noticed to have
//! changed; a test compares the list with the folder.

use std::sync::{Arc, LazyLock};

use super::Catalogue;
use super::load::{self, Content, File};

macro_rules! files {
    ($($content:ident $name:literal),* $(,)?) => {
        /// The files, in the layout of a catalogue's folder.
        pub const FILES: &[File<'static>] = &[$(File {
            name: $name,
            content: Content::$content,
            bytes: include_str!(concat!("data/", $name)).as_bytes(),
        }),*];
    };
}

files![
    Board "boards/beck.json",
    Board "boards/brook.json",
    Board "boards/delta.json",
    Board "boards/firth.json",
    Board "boards/fjord.json",
    Board "boards/loch.json",
    Board "boards/mere.json",
    Board "boards/tarn.json",
    Modules "modules/ddr3.json",
    Modules "modules/ddr4.json",
    Modules "modules/ddr5.json",
];

static CATALOGUE: LazyLock<Arc<Catalogue>> =
    LazyLock::new(|| Arc::new(load::read(FILES).into_catalogue()));

/// The demo catalogue. A file with a fault would be missing from it; a test keeps that from
/// happening.
pub fn catalogue() -> &'static Catalogue {
    &CATALOGUE
}

/// The same, for who shares it.
pub fn shared() -> Arc<Catalogue> {
    Arc::clone(&CATALOGUE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_folder_is_listed() {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/catalogue/data");
        let mut found = Vec::new();
        for folder in ["boards", "modules"] {
            for entry in std::fs::read_dir(root.join(folder)).unwrap() {
                let name = entry.unwrap().file_name().into_string().unwrap();
                found.push(format!("{folder}/{name}"));
            }
        }
        found.sort();
        let listed: Vec<&str> = FILES.iter().map(|file| file.name).collect();
        assert_eq!(listed, found);
    }

    #[test]
    fn the_demo_catalogue_has_no_fault_and_is_invented() {
        let faults = load::read(FILES).faults;
        let first: Vec<_> = faults.iter().take(5).collect();
        assert!(faults.is_empty(), "{} faults: {first:#?}", faults.len());
        let catalogue = catalogue();
        assert_eq!(catalogue.boards().len(), 8);
        assert!(catalogue.modules().len() >= 90);
        assert!(catalogue.boards().all(|entry| entry.record.invented));
        assert!(catalogue.modules().all(|entry| entry.invented));
    }
}
