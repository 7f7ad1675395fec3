//! A catalogue in a folder: what the operator and the author of a record see.

use kitproof::catalogue::directory;
use kitproof::catalogue::embedded::{self, FILES};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

use crate::support::{demo, set};

/// A folder that goes away again.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("kitproof-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        for part in ["boards", "modules"] {
            fs::create_dir_all(path.join(part)).unwrap();
        }
        Self(path)
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        fs::write(self.0.join(name), text).unwrap();
    }

    fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn the_demo_catalogue_is_the_same_from_a_folder() {
    let folder = Folder::new("same");
    for file in FILES {
        folder.write(file.name, file.bytes);
    }
    folder.write("boards/README.txt", "not read");
    let catalogue = directory::load(folder.path()).unwrap();
    assert_eq!(catalogue.revision(), embedded::catalogue().revision());
    let report = directory::check(folder.path());
    assert!(report.is_usable());
    assert_eq!(
        report.text(),
        format!(
            "11 files: 8 usable boards, 106 usable modules; 0 faults, 0 warnings\ncatalogue revision {}\n",
            catalogue.revision()
        )
    );
}

#[test]
fn a_folder_without_a_catalogue_is_refused() {
    let folder = Folder::new("empty");
    for path in [folder.path(), Path::new("/no/such/folder")] {
        let report = directory::load(path).unwrap_err();
        assert!(!report.is_usable());
        assert!(
            report.text().contains("there is no catalogue here"),
            "{}",
            report.text()
        );
    }
}

#[test]
fn faults_of_all_files_are_told_at_once_in_words_for_a_specialist() {
    let folder = Folder::new("faults");
    let mut board = demo("boards/tarn.json");
    board.as_object_mut().unwrap().remove("slot_power_mw");
    set(&mut board, "/rank_bugdet", json!(8));
    set(&mut board, "/accepts/1/kind", json!("RDIM"));
    folder.write("boards/tarn.json", board.to_string());
    let mut board = demo("boards/beck.json");
    set(&mut board, "/layouts/0/pattern/0", json!("single"));
    folder.write("boards/beck.json", board.to_string());
    folder.write("boards/broken.json", "{\n  \"id\": \"x\",\n}");
    let modules = json!({"invented": true, "modules": {"ERW-1": {"capcity_mib": 4096}}});
    folder.write("modules/mine.json", modules.to_string());
    let report = directory::check(folder.path());
    assert!(report.revision.is_none());
    let expected = "\
fault: boards/beck.json, /layouts/0/pattern/0
  `single` describes no position
  expected: `-` for nothing, `2R` for two package ranks, `1R|2R` for either, or `any`

fault: boards/broken.json, the whole file
  a name in double quotes is expected (line 3, column 1, byte 15)
  expected: a JSON document; commas stand between members and never after the last

fault: boards/tarn.json, the whole file
  `slot_power_mw` is missing
  expected: The most power that the module of one slot may draw, in mW; for example `9000`

fault: boards/tarn.json, /accepts/1/kind
  `RDIM` is not known here
  did you mean `RDIMM`?
  expected: one of `UDIMM`, `ECC UDIMM`, `SO-DIMM`, `ECC SO-DIMM`, `CUDIMM`, `ECC CUDIMM`, `RDIMM`, `LRDIMM`, `MRDIMM`, `NVDIMM-N`
";
    let text = report.text();
    assert!(text.starts_with(expected), "{text}");
    assert!(text.contains("fault: boards/tarn.json, /rank_bugdet\n  `rank_bugdet` is not a member here\n  did you mean `rank_budget`?"), "{text}");
    assert!(text.contains("did you mean `capacity_mib`?"), "{text}");
    assert!(
        text.ends_with("4 files: 0 usable boards, 0 usable modules; 6 faults, 0 warnings\n"),
        "{text}"
    );
}

#[test]
fn what_is_legal_and_looks_wrong_is_a_warning() {
    let folder = Folder::new("warnings");
    let mut board = demo("boards/tarn.json");
    let mut general: Value = board["accepts"][1].clone();
    general["ranks"] = json!("any");
    general["capacities_mib"] = json!("any");
    board["accepts"].as_array_mut().unwrap().insert(0, general);
    set(&mut board, "/accepts/3/kind", json!("UDIMM"));
    set(&mut board, "/filling/0/channel_order", json!("any"));
    set(&mut board, "/filling/1/module_counts", json!([4, 13]));
    let mut slow = board["rates"][0].clone();
    slow["rate_mts"] = json!(800);
    board["rates"].as_array_mut().unwrap().push(slow);
    folder.write("boards/tarn.json", board.to_string());
    let modules = json!({"invented": true, "modules": {"bare": {"kind": "RDIMM"}}});
    folder.write("modules/mine.json", modules.to_string());
    let report = directory::check(folder.path());
    assert!(report.is_usable(), "{}", report.text());
    let found: Vec<(&str, &str)> = report
        .warnings
        .iter()
        .map(|w| (w.fault.pointer.as_str(), w.fault.message.as_str()))
        .collect();
    for (pointer, message) in [
        ("/accepts/1", "never reached: /accepts/0"),
        ("/accepts/2", "never reached: /accepts/0"),
        (
            "/accepts/3",
            "no rate row or pattern tells the rate of a flat UDIMM",
        ),
        ("/rates/11/kinds/0", "the board takes no LRDIMM"),
        ("/rates/17", "never used: /rates/0"),
        ("/filling/0/channel_order", "no order"),
        ("/filling/1/module_counts/1", "no socket can hold 13"),
        ("/modules/bare", "not told: `generation`"),
    ] {
        assert!(
            found
                .iter()
                .any(|(at, text)| *at == pointer && text.contains(message)),
            "{pointer}: {found:#?}"
        );
    }
}
