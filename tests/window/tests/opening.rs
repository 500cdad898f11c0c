//! Opening and closing: it measures each time, and two hundred times leave nothing behind. A
//! test program of its own, as it counts the threads and the memory of its process.

use egui::{Context, Pos2, RawInput, Rect, vec2};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};
use underpin::editor::measuring::analyser_thread::AnalyserThread;
use underpin::editor::measuring::work::Watch;
use underpin::editor::paint::theme;
use underpin::editor::show;
use underpin::link;
use underpin::measure::Ask;
use underpin::path::Path;
use underpin::plot::Palette;
use underpin::settings::Settings;
use window_tests::{Stage, nothing};

const RATE_HZ: f64 = 48_000.0;

/// A figure of this process by its name in `/proc/self/status`.
fn status(name: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("a Linux system");
    let line = status.lines().find(|line| line.starts_with(name)).expect("the figure");
    line.split_whitespace().nth(1).and_then(|word| word.parse().ok()).expect("a number")
}

/// Waits for `done`, up to ten seconds.
fn wait(what: &str, mut done: impl FnMut() -> bool) {
    let start = Instant::now();
    while !done() {
        assert!(start.elapsed() < Duration::from_secs(10), "{what}: not after ten seconds");
        thread::sleep(Duration::from_millis(2));
    }
}

/// One window from its first to its last frame.
fn draw() {
    let ctx = Context::default();
    ctx.set_fonts(theme::fonts());
    let mut stage = Stage::new(nothing(), Palette::Night);
    for _ in 0..3 {
        let page = Rect::from_min_size(Pos2::ZERO, vec2(960.0, 600.0));
        let input = RawInput { screen_rect: Some(page), ..RawInput::default() };
        let mut state = std::mem::take(&mut stage.state);
        let mut output = ctx.run_ui(input, |ui| {
            show(ui, &mut state, &stage.shown());
        });
        stage.state = state;
        output.textures_delta.clear();
        assert!(!ctx.tessellate(output.shapes, 1.0).is_empty());
    }
}

/// What wakes the analyser, and whom it wakes.
fn watch(receiver: link::TapReceiver, wake: Arc<AtomicU64>, open: Arc<AtomicBool>) -> Watch {
    Watch {
        receiver,
        is_open: Box::new(move || open.load(Ordering::Relaxed)),
        look: Box::new(|| 0),
        settings: Box::new(Settings::default),
        wake: Box::new(move || {
            wake.fetch_add(1, Ordering::Relaxed);
        }),
    }
}

/// Silence is shown for a while, and then nothing is drawn any more, however long it lasts.
fn silence_is_shown_and_then_nothing_more(
    analyst: &mut AnalyserThread,
    path: &mut Path,
    taps: &mut link::Taps,
    woken: &AtomicU64,
) {
    let start = woken.load(Ordering::Relaxed);
    analyst.begin(Ask::default());
    let mut silence = |seconds: f64| {
        for _ in 0..(20.0 * seconds) as usize {
            let mut block = vec![vec![0.0f32; 2400]; 2];
            let mut block: Vec<&mut [f32]> = block.iter_mut().map(|c| &mut c[..]).collect();
            taps.watched(true);
            path.process(&mut block, taps);
            thread::sleep(Duration::from_millis(10));
        }
        woken.load(Ordering::Relaxed)
    };
    let (shown, later) = (silence(14.0), silence(6.0));
    analyst.end();
    assert!(shown > start, "silence was never shown");
    assert!(later - shown <= 1, "drawn {} times in six seconds of silence", later - shown);
}

/// Ten times a second of sound and more there is something new to see.
fn there_is_news_ten_times_a_second(analyst: &mut AnalyserThread, mut play: impl FnMut(f64)) {
    analyst.begin(Ask::default());
    for _ in 0..20 {
        play(0.1);
        wait("what sounds now", || analyst.take().is_some());
    }
    analyst.end();
}

/// A window that is closed and does not say so leaves no thread either.
fn a_closed_window_leaves_no_thread(
    analyst: &mut AnalyserThread,
    mut play: impl FnMut(f64),
    open: &AtomicBool,
    threads: u64,
) {
    open.store(true, Ordering::Relaxed);
    analyst.begin(Ask::default());
    wait("what sounds now", || {
        play(0.1);
        analyst.take().is_some()
    });
    open.store(false, Ordering::Relaxed);
    wait("the end of the thread", || status("Threads:") == threads);
}

/// Two hundred openings leave no thread and no memory.
fn openings_leave_nothing(analyst: &mut AnalyserThread, threads: u64) {
    // The allocator and the fonts take their room in the first openings.
    let open_and_close = |analyst: &mut AnalyserThread, times: usize| {
        for _ in 0..times {
            analyst.begin(Ask::default());
            draw();
            analyst.end();
        }
    };
    open_and_close(analyst, 20);
    let before = status("VmRSS:");
    open_and_close(analyst, 200);
    assert_eq!(status("Threads:"), threads, "threads are left");
    let grown = status("VmRSS:").saturating_sub(before);
    // A window's fonts and textures are several MiB; what is kept may not be one window.
    assert!(grown < 2048, "{grown} KiB more after 200 openings");
    println!("200 openings: {grown} KiB more, {threads} threads as before");
}

#[test]
fn a_window_measures_whenever_it_is_open_and_leaves_nothing_behind() {
    let (mut taps, wires) = link::connect();
    let (mut path, woken) = (Path::new(RATE_HZ, 2), Arc::new(AtomicU64::new(0)));
    taps.start(RATE_HZ, 2);
    let wake = woken.clone();
    let open = Arc::new(AtomicBool::new(false));
    let mut analyst = AnalyserThread::new(watch(wires.receiver, wake, open.clone()));
    let mut play = |taps: &mut link::Taps, open: bool, seconds: f64| {
        taps.watched(open);
        let mut block = vec![vec![0.1f32; 480]; 2];
        for _ in 0..(100.0 * seconds) as usize {
            let mut block: Vec<&mut [f32]> = block.iter_mut().map(|c| &mut c[..]).collect();
            path.process(&mut block, taps);
        }
    };

    // Closed: the ring stays empty, nobody is woken, no thread is there.
    let threads = status("Threads:");
    play(&mut taps, false, 1.0);
    assert_eq!((woken.load(Ordering::Relaxed), wires.meters.lost()), (0, 0));

    // Open without sound: nothing is new, so nothing is drawn.
    analyst.begin(Ask::default());
    thread::sleep(Duration::from_millis(200));
    assert_eq!(woken.load(Ordering::Relaxed), 0, "drawn though nothing is new");
    analyst.end();

    there_is_news_ten_times_a_second(&mut analyst, |seconds| play(&mut taps, true, seconds));
    // Each opening in the same run measures afresh.
    for _ in 0..3 {
        analyst.begin(Ask::default());
        let mut readings = None;
        wait("readings", || {
            play(&mut taps, true, 0.1);
            readings = analyst.take();
            readings.is_some()
        });
        analyst.end();
        taps.watched(false);
    }
    assert!(woken.load(Ordering::Relaxed) >= 3);

    let sound = |seconds| play(&mut taps, true, seconds);
    a_closed_window_leaves_no_thread(&mut analyst, sound, &open, threads);
    silence_is_shown_and_then_nothing_more(&mut analyst, &mut path, &mut taps, &woken);

    openings_leave_nothing(&mut analyst, threads);
}
