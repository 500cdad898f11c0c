//! The file in which the stand-alone window keeps its last session.

use std::fs;
use std::path::PathBuf;
use underpin::editor::files::session_file::SessionFile;

fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("remembering").join(name);
    let _ = fs::remove_dir_all(&folder);
    folder
}

#[test]
fn what_was_written_is_read_and_written_again() {
    let folder = folder("again");
    let (file, fault) = SessionFile::open(&folder, |_| panic!("there is nothing to read"));
    assert_eq!(fault, Ok(()));
    for text in ["one", "another, and longer"] {
        file.write(text).expect("written");
        let mut read = String::new();
        let (_, fault) = SessionFile::open(&folder, |text| {
            read = text.into();
            true
        });
        assert_eq!((read.as_str(), fault), (text, Ok(())));
    }
    let files: Vec<_> = fs::read_dir(&folder).expect("a folder").flatten().collect();
    assert_eq!(files.len(), 1, "something is left beside it: {files:?}");
}

#[test]
fn a_file_that_is_no_session_is_named_and_left_alone() {
    let long = vec![b' '; 2 << 20];
    for (name, bytes) in
        [("rubbish", b"{]".as_slice()), ("no text", &[0xff, 0xfe]), ("long", &long)]
    {
        let folder = folder(name);
        fs::create_dir_all(&folder).expect("a folder");
        let path = folder.join("last-session.json");
        fs::write(&path, bytes).expect("a file");
        let (file, fault) = SessionFile::open(&folder, |_| false);
        let why = fault.expect_err("it was taken");
        assert!(why.contains("last-session.json") && why.ends_with('.'), "{why}");
        file.write("new").expect("nothing to do");
        assert_eq!(fs::read(&path).expect("a file"), bytes, "{name} was written over");
    }
}

#[test]
fn where_nothing_can_be_written_one_sentence_says_so() {
    let folder = folder("a file in the way");
    fs::create_dir_all(folder.parent().expect("a folder")).expect("a folder");
    fs::write(&folder, "a file").expect("a file");
    let (file, _) = SessionFile::open(&folder, |_| true);
    if let Err(why) = file.write("new") {
        assert!(why.contains("cannot be written"), "{why}");
    }
    assert_eq!(fs::read_to_string(&folder).expect("the file"), "a file");
}
