//! Files of sound, read: against bytes laid out by hand from the RIFF
//! specification (1991), Microsoft's EXTENSIBLE layout (2001) and EBU Tech 3306.

mod coded;

use std::path::Path;

use tempfile::TempDir;
use underpin::audio::Reader;
use underpin::cli::audio_file::open;
use underpin::cli::failure::{Code, Failure};

/// A chunk with its padding.
pub(crate) fn chunk(name: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let size = (body.len() as u32).to_le_bytes();
    let padding = &[0][..body.len() % 2];
    [&name[..], &size, body, padding].concat()
}

/// The body of a `fmt ` chunk.
pub(crate) fn layout(tag: u16, channels: u16, rate: u32, container: u16, bits: u16) -> Vec<u8> {
    let frame = channels * container;
    let mut body = Vec::new();
    body.extend(tag.to_le_bytes());
    body.extend(channels.to_le_bytes());
    body.extend(rate.to_le_bytes());
    body.extend((rate * u32::from(frame)).to_le_bytes());
    body.extend(frame.to_le_bytes());
    body.extend(bits.to_le_bytes());
    body
}

/// The same for EXTENSIBLE: size of the extension, valid bits, speakers, GUID.
fn extensible(tag: u16, channels: u16, container: u16, valid: u16) -> Vec<u8> {
    let mut body = layout(0xFFFE, channels, 48_000, container, 8 * container);
    body.extend(22u16.to_le_bytes());
    body.extend(valid.to_le_bytes());
    body.extend(3u32.to_le_bytes());
    body.extend(tag.to_le_bytes());
    // KSDATAFORMAT_SUBTYPE_PCM and _IEEE_FLOAT differ in their first two bytes only.
    body.extend([0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71]);
    body
}

pub(crate) fn riff(chunks: &[Vec<u8>]) -> Vec<u8> {
    let body = chunks.concat();
    [&b"RIFF"[..], &(4 + body.len() as u32).to_le_bytes(), b"WAVE", &body].concat()
}

/// Everything a file gives: its channels and its notes.
pub(crate) fn read_all(mut reader: Reader) -> (Vec<Vec<f32>>, Vec<String>) {
    let mut block = reader.block();
    let mut all = block.clone();
    while reader.read(&mut block, 7).unwrap() > 0 {
        for (all, block) in all.iter_mut().zip(&block) {
            all.extend(block);
        }
    }
    (all, reader.notes())
}

fn open_bytes(bytes: &[u8]) -> Result<Reader, Failure> {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("x.wav");
    std::fs::write(&path, bytes).unwrap();
    open(&path)
}

#[track_caller]
fn check_reads(bytes: &[u8], expected: &[&[f32]]) -> Vec<String> {
    let reader = open_bytes(bytes).unwrap();
    assert_eq!(reader.frames(), Some(expected[0].len() as u64));
    let (all, notes) = read_all(reader);
    assert_eq!(all, expected);
    notes
}

#[track_caller]
fn check_refused(bytes: &[u8], words: &[&str]) {
    let failure = open_bytes(bytes).err().expect("must be refused");
    assert_eq!(failure.code, Code::Unreadable);
    for word in words.iter().chain(&["x.wav"]) {
        assert!(failure.sentence.contains(word), "{:?} lacks {word:?}", failure.sentence);
    }
}

/// A mono file of one layout with these data bytes.
pub(crate) fn mono(format: &[u8], data: &[u8]) -> Vec<u8> {
    riff(&[chunk(b"fmt ", format), chunk(b"data", data)])
}

pub(crate) fn bytes<const N: usize>(samples: &[[u8; N]]) -> Vec<u8> {
    samples.concat()
}

#[test]
fn integers_of_every_width_read_exactly() {
    // n / 2^(b-1), so that the most negative number is -1: AES17's and every host's reading.
    let eight = mono(&layout(1, 1, 8000, 1, 8), &[0, 64, 128, 255]);
    assert!(check_reads(&eight, &[&[-1.0, -0.5, 0.0, 127.0 / 128.0]]).is_empty());
    let sixteen = mono(
        &layout(1, 1, 44_100, 2, 16),
        &bytes(&[i16::MIN.to_le_bytes(), 1i16.to_le_bytes(), i16::MAX.to_le_bytes()]),
    );
    check_reads(&sixteen, &[&[-1.0, 1.0 / 32_768.0, 32_767.0 / 32_768.0]]);
    let step = 1.0 / 8_388_608.0;
    let twenty_four = mono(
        &layout(1, 1, 96_000, 3, 24),
        &[0, 0, 0x80, 1, 0, 0, 0xFF, 0xFF, 0x7F, 0xFF, 0xFF, 0xFF],
    );
    check_reads(&twenty_four, &[&[-1.0, step, 1.0 - step, -step]]);
    let thirty_two = mono(
        &layout(1, 1, 192_000, 4, 32),
        &bytes(&[i32::MIN.to_le_bytes(), (1i32 << 30).to_le_bytes(), (-256i32).to_le_bytes()]),
    );
    check_reads(&thirty_two, &[&[-1.0, 0.5, -1.0 / 8_388_608.0]]);
}

#[test]
fn floats_read_exactly_and_doubles_rounded() {
    let (third, tiny) = (1.0f32 / 3.0, -1e-30f32);
    let float =
        mono(&layout(3, 1, 48_000, 4, 32), &bytes(&[third, tiny, 2.5].map(f32::to_le_bytes)));
    check_reads(&float, &[&[third, tiny, 2.5]]);
    let double = mono(
        &layout(3, 1, 48_000, 8, 64),
        &bytes(&[1.0f64 / 3.0, -0.1, 1.0].map(f64::to_le_bytes)),
    );
    check_reads(&double, &[&[third, -0.1, 1.0]]);
}

#[test]
fn what_is_no_number_is_silence_and_said() {
    let data = [0.25, f32::NAN, f32::INFINITY, -0.5].map(f32::to_le_bytes);
    let notes =
        check_reads(&mono(&layout(3, 1, 48_000, 4, 32), &bytes(&data)), &[&[0.25, 0.0, 0.0, -0.5]]);
    assert!(notes.iter().any(|note| note.contains("2 samples are no numbers")), "{notes:?}");
}

#[test]
fn extensible_reads_as_what_its_guid_says() {
    let samples = bytes(&[[0, 0x40], [0, 0xC0]]);
    check_reads(&mono(&extensible(1, 1, 2, 16), &samples), &[&[0.5, -0.5]]);
    let float = bytes(&[0.25f32.to_le_bytes(), (-4.0f32).to_le_bytes()]);
    check_reads(&mono(&extensible(3, 1, 4, 32), &float), &[&[0.25, -4.0]]);
}

#[test]
fn twenty_four_bits_in_thirty_two_fill_the_container_from_the_top() {
    // The RIFF specification: valid bits are left-justified, the rest is zero.
    let samples = bytes(&[[0, 0, 0, 0x40], [0, 1, 0, 0]]);
    let file = mono(&extensible(1, 1, 4, 24), &samples);
    check_reads(&file, &[&[0.5, 1.0 / 8_388_608.0]]);
    assert_eq!(open_bytes(&file).unwrap().kind(), "WAV, 24 bit in 32");
}

#[test]
fn channels_are_not_swapped_and_more_than_two_are_announced() {
    let frames = bytes(&[1i16, 2, 3, 4, 5, 6].map(i16::to_le_bytes));
    let of = |n: f32| n / 32_768.0;
    let stereo = mono(&layout(1, 2, 48_000, 2, 16), &frames);
    check_reads(&stereo, &[&[of(1.0), of(3.0), of(5.0)], &[of(2.0), of(4.0), of(6.0)]]);
    let three = mono(&layout(1, 3, 48_000, 2, 16), &frames);
    let notes = check_reads(&three, &[&[of(1.0), of(4.0)], &[of(2.0), of(5.0)]]);
    assert_eq!(notes, ["3 channels: the first two are used"]);
}

#[test]
fn chunks_of_odd_size_are_skipped_with_their_padding() {
    let file = riff(&[
        chunk(b"bext", b"odd"),
        chunk(b"fmt ", &layout(1, 1, 48_000, 2, 16)),
        chunk(b"LIST", b"INFOx"),
        chunk(b"data", &[0, 0x40]),
        chunk(b"id3 ", b"after"),
    ]);
    assert!(check_reads(&file, &[&[0.5]]).is_empty());
}

#[test]
fn rf64_and_bw64_take_their_size_from_ds64() {
    for name in [b"RF64", b"BW64"] {
        // RIFF size, data size, number of frames, length of a table: 8 + 8 + 8 + 4 bytes.
        let sizes = [&0u64.to_le_bytes()[..], &4u64.to_le_bytes(), &2u64.to_le_bytes(), &[0; 4]];
        let mut file = [&name[..], &[0xFF; 4], b"WAVE"].concat();
        file.extend(chunk(b"ds64", &sizes.concat()));
        file.extend(chunk(b"fmt ", &layout(1, 1, 48_000, 2, 16)));
        file.extend(b"data\xFF\xFF\xFF\xFF");
        file.extend([0, 0x40, 0, 0xC0]);
        file.extend(chunk(b"LIST", b"INFO"));
        assert!(check_reads(&file, &[&[0.5, -0.5]]).is_empty());
    }
}

#[test]
fn a_header_without_length_is_read_to_the_end_and_said() {
    for size in [0u32, u32::MAX] {
        let mut file = riff(&[chunk(b"fmt ", &layout(1, 1, 48_000, 2, 16))]);
        file[4..8].copy_from_slice(&size.to_le_bytes());
        file.extend(b"data");
        file.extend(size.to_le_bytes());
        // The last byte is half a sample: it is left out.
        file.extend([0, 0x40, 0, 0xC0, 7]);
        let notes = check_reads(&file, &[&[0.5, -0.5]]);
        assert_eq!(notes, ["the header tells no length: read to the end of the file"]);
    }
}

#[test]
fn a_file_without_samples_has_none_even_when_chunks_follow() {
    let format = chunk(b"fmt ", &layout(1, 1, 48_000, 2, 16));
    check_reads(&riff(&[format.clone(), chunk(b"data", &[])]), &[&[]]);
    let list = chunk(b"LIST", b"INFOISFT\x02\0\0\0x\0");
    check_reads(&riff(&[format, chunk(b"data", &[]), list]), &[&[]]);
}

#[test]
fn a_truncated_file_gives_what_is_there_and_says_so() {
    let data = vec![0u8; 2 * 48_000 * 2];
    let mut file = mono(&layout(1, 1, 48_000, 2, 16), &data);
    file.truncate(file.len() - 48_000);
    let reader = open_bytes(&file).unwrap();
    assert_eq!(reader.frames(), Some(72_000));
    let (all, notes) = read_all(reader);
    assert_eq!(all[0].len(), 72_000);
    assert_eq!(notes, ["truncated: 1.5 s of 2.0 s are there"]);
}

#[test]
fn what_cannot_be_read_is_refused_in_a_sentence() {
    let format = chunk(b"fmt ", &layout(1, 1, 48_000, 2, 16));
    check_refused(b"", &["empty"]);
    check_refused(b"RIFF", &["not a file of sound", "WAV", "FLAC"]);
    check_refused(&[b'x'; 3000], &["not a file of sound"]);
    check_refused(&riff(&[]), &["before its sound data"]);
    check_refused(&riff(std::slice::from_ref(&format)), &["before its sound data"]);
    check_refused(&riff(&[chunk(b"data", &[0; 4]), format]), &["before their format"]);
    check_refused(&mono(&layout(1, 0, 48_000, 2, 16), &[0; 4]), &["damaged", "0 channels"]);
    check_refused(&mono(&layout(1, 1, 0, 2, 16), &[0; 4]), &["damaged", "0 Hz"]);
    check_refused(&mono(&layout(6, 1, 8000, 1, 8), &[0; 4]), &["0x0006"]);
    check_refused(&mono(&layout(1, 1, 8000, 2, 16)[..10], &[0; 4]), &["too short"]);
    check_refused(&mono(&vec![0; 70_000], &[0; 4]), &["damaged"]);
    let missing = open(Path::new("no/such/file.wav")).err().unwrap();
    assert_eq!(missing.code, Code::Unreadable);
    assert!(missing.sentence.contains("no/such/file.wav"), "{}", missing.sentence);
}
