//! Files of sound, written: against bytes laid out by hand from the RIFF
//! specification (1991) and EBU Tech 3306.

use std::path::PathBuf;

use tempfile::TempDir;
use underpin::audio::BLOCK;
use underpin::audio::encode::{Format, Spec, header};
use underpin::cli::audio_file::{Writer, open};
use underpin::cli::failure::Code;

use crate::audio_file::{bytes, chunk, layout, mono, read_all, riff};

fn spec(format: Format, channels: usize, frames: Option<u64>) -> Spec {
    Spec { sample_rate_hz: 48_000.0, channels, format, seed: 1, frames }
}

/// Writes two blocks and returns the path, kept alive by its folder.
fn written(spec: Spec, block: &[Vec<f32>]) -> (TempDir, PathBuf, u64) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("out.wav");
    let mut writer = Writer::create(&path, false, spec).unwrap();
    let half = block[0].len() / 2;
    let part = |range: std::ops::Range<usize>| -> Vec<Vec<f32>> {
        block.iter().map(|channel| channel[range.clone()].to_vec()).collect()
    };
    writer.write(&part(0..half)).unwrap();
    writer.write(&part(half..block[0].len())).unwrap();
    let over = writer.finish().unwrap();
    (folder, path, over)
}

#[test]
fn a_float_file_has_the_bytes_of_the_specification() {
    let (_folder, path, over) = written(spec(Format::F32, 1, Some(2)), &[vec![0.5, -3.0]]);
    let mut format = layout(3, 1, 48_000, 4, 32);
    format.extend([0, 0]);
    let data = bytes(&[0.5f32.to_le_bytes(), (-3.0f32).to_le_bytes()]);
    let expected = riff(&[
        chunk(b"fmt ", &format),
        chunk(b"fact", &2u32.to_le_bytes()),
        chunk(b"data", &data),
    ]);
    assert_eq!(std::fs::read(path).unwrap(), expected);
    assert_eq!(over, 0);
}

#[test]
fn integer_files_have_the_bytes_of_the_specification() {
    for (format, width) in [(Format::Int16, 2usize), (Format::Int24, 3)] {
        let (_folder, path, _) = written(spec(format, 1, Some(3)), &[vec![0.0; 3]]);
        let file = std::fs::read(path).unwrap();
        let head = mono(&layout(1, 1, 48_000, width as u16, 8 * width as u16), &vec![0; 3 * width]);
        assert_eq!(file[..44], head[..44]);
        assert_eq!(file.len(), head.len(), "padding");
    }
}

#[test]
fn what_is_written_reads_back() {
    let block: Vec<Vec<f32>> =
        [1.0, -0.5].map(|g| (0..9001).map(|n| g * (n as f32 * 0.01).sin()).collect()).to_vec();
    for frames in [Some(9001), None] {
        for (format, error) in [
            (Format::F32, 0.0),
            // Rounding adds half a step, dither up to one.
            (Format::Int24, 1.5 / 8_388_608.0),
            (Format::Int16, 1.5 / 32_768.0),
        ] {
            let (_folder, path, _) = written(spec(format, 2, frames), &block);
            let (all, notes) = read_all(open(&path).unwrap());
            assert!(notes.is_empty());
            for (read, wrote) in all.iter().flatten().zip(block.iter().flatten()) {
                assert!((read - wrote).abs() <= error, "{format:?}: {read} for {wrote}");
            }
        }
    }
}

#[test]
fn dither_is_triangular_two_steps_wide_and_the_same_for_the_same_seed() {
    // Lipshitz, Wannamaker, Vanderkooy (1992): with TPDF dither the total error has a
    // power of step²/4, whatever the signal; without dither it would be step²/12.
    let frames = 200_000;
    for level in [0.0, 0.3, 0.5] {
        let quiet = vec![vec![level / 32_768.0; frames]];
        let (_folder, path, _) = written(spec(Format::Int16, 1, None), &quiet);
        let (all, _) = read_all(open(&path).unwrap());
        let errors = all[0].iter().map(|x| f64::from(x * 32_768.0 - level));
        let power = errors.clone().map(|e| e * e).sum::<f64>() / frames as f64;
        let mean = errors.sum::<f64>() / frames as f64;
        // 200 000 draws: the mean scatters by 0.0011, the power by 0.0006 or so; five times that.
        assert!(mean.abs() < 0.006, "mean {mean} at {level}");
        assert!((power - 0.25).abs() < 0.004, "power {power} at {level}");
    }
    let once = |seed| {
        let spec = Spec { seed, ..spec(Format::Int16, 1, None) };
        let (_folder, path, _) = written(spec, &[vec![0.1; 100]]);
        std::fs::read(path).unwrap()
    };
    assert_eq!(once(5), once(5));
    assert_ne!(once(5), once(6));
}

#[test]
fn integers_clip_and_count_what_lies_beyond_full_scale() {
    let (_folder, path, over) =
        written(spec(Format::Int16, 1, Some(4)), &[vec![1.5, -1.5, 0.5, f32::NAN]]);
    assert_eq!(over, 2);
    let (all, _) = read_all(open(&path).unwrap());
    assert_eq!((all[0][0], all[0][1]), (32_767.0 / 32_768.0, -1.0));
}

#[test]
fn beyond_four_gibibytes_the_header_is_rf64() {
    let frames = 1u64 << 30;
    let spec = spec(Format::F32, 2, Some(frames));
    let head = header(&spec, Some(frames));
    assert_eq!(&head[..4], b"RF64");
    assert_eq!(head[4..8], [0xFF; 4]);
    assert_eq!(&head[8..16], b"WAVEds64");
    let long = |at: usize| u64::from_le_bytes(head[at..at + 8].try_into().unwrap());
    assert_eq!(head[16..20], 28u32.to_le_bytes());
    assert_eq!(long(20), 8 * frames + head.len() as u64 - 8, "RIFF size");
    assert_eq!(long(28), 8 * frames, "data size");
    assert_eq!(long(36), frames, "frames");
    assert_eq!(head[head.len() - 8..], *b"data\xFF\xFF\xFF\xFF");
    // The room that was kept for it: a JUNK chunk of the same size at the same place.
    let before = header(&spec, None);
    assert_eq!(before.len(), head.len());
    assert_eq!(&before[12..16], b"JUNK");
}

#[test]
fn an_existing_file_is_replaced_only_by_force_and_never_in_half() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("out.wav");
    std::fs::write(&path, "precious").unwrap();
    let spec = spec(Format::F32, 1, None);
    let refused = Writer::create(&path, false, spec).err().unwrap();
    assert_eq!(refused.code, Code::Unwritable);
    assert!(refused.sentence.contains("--force"), "{}", refused.sentence);

    let mut given_up = Writer::create(&path, true, spec).unwrap();
    given_up.write(&[vec![0.0; BLOCK]]).unwrap();
    drop(given_up);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "precious");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "something is left over");

    let writer = Writer::create(&path, true, spec).unwrap();
    writer.finish().unwrap();
    assert_eq!(&std::fs::read(&path).unwrap()[..4], b"RIFF");
}
