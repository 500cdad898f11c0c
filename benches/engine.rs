//! Prints what the octave core reaches against its goals, method by method.
//!
//! `cargo bench --bench engine`

#[path = "../tests/octave_goals/mod.rs"]
#[allow(dead_code)]
mod octave_goals;

use octave_goals::figures;
use underpin::settings::{Method, Settings};

const METHODS: [Method; 3] = [Method::Divided, Method::Halved, Method::Tracked];

fn main() {
    let columns =
        METHODS.map(|octave_method| figures(&Settings { octave_method, ..Settings::default() }));
    println!("| | goal | stretch | divided | halved | tracked |");
    println!("|---|---|---|---|---|---|");
    for (i, figure) in columns[0].iter().enumerate() {
        let stretch = figure.stretch.map_or(String::new(), |aim| aim.text());
        let cell = |column: &Vec<octave_goals::figure::Figure>| {
            let this = &column[i];
            let mark = match (this.goal.met_by(this.value), this.stretch) {
                (false, _) => " ✗",
                (true, Some(aim)) if aim.met_by(this.value) => " ★",
                _ => "",
            };
            format!("{:.3}{mark}", this.value)
        };
        let cells: Vec<String> = columns.iter().map(cell).collect();
        println!(
            "| {} | {} | {stretch} | {} |",
            figure.name,
            figure.goal.text(),
            cells.join(" | ")
        );
    }
}
