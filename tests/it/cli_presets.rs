//! `presets`: what is listed can be shown, exported, checked and used.

use underpin::presets::{Preset, all};

use crate::program::Bench;

#[test]
fn list_names_every_preset_and_when_to_use_it() {
    let listed = Bench::new().does("presets list");
    let lines: Vec<&str> = listed.text().lines().collect();
    assert_eq!(lines.len(), all().len());
    for (line, preset) in lines.iter().zip(all()) {
        assert!(line.starts_with(&preset.slug()) && line.ends_with(&preset.when), "{line}");
    }
}

#[test]
fn list_as_json_has_schema_name_and_every_setting() {
    let json = Bench::new().does("presets list --json").json();
    assert_eq!(json["schema"], 1);
    let presets = json["presets"].as_array().unwrap();
    assert_eq!(presets.len(), all().len());
    let kick = presets.iter().find(|p| p["slug"] == "kick-drum").unwrap();
    assert_eq!(kick["settings"]["octave.response"], "fast");
    assert_eq!(kick["settings"]["octave.level_db"], -4.0);
    assert_eq!(kick["settings"]["output.ceiling"], true);
    assert_eq!(kick["settings"].as_object().unwrap().len(), underpin::settings::ALL.len());
}

#[test]
fn what_is_exported_is_in_order_and_the_same_preset() {
    let bench = Bench::new();
    for preset in all() {
        let slug = preset.slug();
        bench.does(&format!("presets export {slug} -o {slug}.toml"));
        let text = String::from_utf8(bench.read(&format!("{slug}.toml"))).unwrap();
        assert_eq!(Preset::parse(&text).unwrap(), preset);
        assert!(bench.does(&format!("presets check {slug}.toml")).text().contains("in order"));
        assert_eq!(bench.does(&format!("presets show {slug}")).text(), text);
    }
}

#[test]
fn export_takes_changes_and_never_overwrites_unasked() {
    let bench = Bench::new();
    bench.does("presets export kick-drum --set octave.level_db=-9,5 -o mine.toml");
    assert_eq!(
        bench.does("presets show mine.toml --json").json()["settings"]["octave.level_db"],
        -9.5
    );
    let before = bench.read("mine.toml");
    bench.fails("presets export untouched -o mine.toml", 4, &["mine.toml exists", "--force"]);
    assert_eq!(bench.read("mine.toml"), before);
    bench.does("presets export untouched -o mine.toml --force");
    assert_ne!(bench.read("mine.toml"), before);
}

#[test]
fn check_names_what_is_not_used_and_exits_with_one() {
    let bench = Bench::new();
    bench.write("odd.toml", b"schema = 2\nname = \"Odd\"\noctave.levl_db = 1\n");
    let ran = bench.run("presets check odd.toml");
    assert_eq!(ran.code, 1);
    assert!(ran.text().contains("schema 2"), "{}", ran.text());
    assert!(ran.text().contains("did you mean octave.level_db"), "{}", ran.text());
    let piped = bench.run_with("presets check -", &bench.read("odd.toml"));
    assert_eq!(piped.code, 1);
}

#[test]
fn broken_files_are_refused_with_the_line_or_the_range() {
    let bench = Bench::new();
    bench.write("range.toml", b"schema = 1\nname = \"x\"\nlow_band.gain_db = 30\n");
    bench.write("junk.toml", b"schema = 1\nname = \"x\"\n\n= 4\n");
    bench.fails("presets check range.toml", 3, &["range.toml", "low_band.gain_db", "-18 to 18 dB"]);
    bench.fails("presets check junk.toml", 3, &["junk.toml", "line 4"]);
    bench.fails("presets check none.toml", 3, &["none.toml"]);
    bench.fails("presets show none", 2, &["none", "start-here"]);
}

/// A little-endian number at a place of a file.
fn number<const N: usize>(file: &[u8], at: usize) -> [u8; N] {
    file[at..at + N].try_into().expect("inside the file")
}

#[test]
fn a_vst3_preset_has_the_form_that_hosts_read() {
    // VST 3 SDK, "Preset Format": "VST3", version 1, 32 digits of the class, place of the list;
    // the list is "List", a count, and for each piece its name, place and size.
    let bench = Bench::new();
    bench.does("presets export kick-drum -o kick.vstpreset");
    let file = bench.read("kick.vstpreset");
    assert_eq!(&file[..4], b"VST3");
    assert_eq!(i32::from_le_bytes(number(&file, 4)), 1);
    // "UnderpinLowBass1" in ASCII: a class never changes, or sessions lose their effect.
    assert_eq!(&file[8..40], b"556E64657270696E4C6F774261737331");
    let list = i64::from_le_bytes(number(&file, 40)) as usize;
    assert_eq!(&file[list..list + 4], b"List");
    assert_eq!(i32::from_le_bytes(number(&file, list + 4)), 1);
    assert_eq!(&file[list + 8..list + 12], b"Comp");
    let from = i64::from_le_bytes(number(&file, list + 12)) as usize;
    let size = i64::from_le_bytes(number(&file, list + 20)) as usize;
    assert_eq!(file.len(), list + 28);
    let state: serde_json::Value = serde_json::from_slice(&file[from..from + size]).expect("JSON");
    assert_eq!(state["params"]["octave.response"]["string"], "fast");
    assert_eq!(state["params"]["octave.level_db"]["f32"], -4.0);
    assert_eq!(state["params"]["output.ceiling"]["bool"], true);
    assert_eq!(state["params"].as_object().unwrap().len(), underpin::settings::ALL.len());
}
