//! `completions` and `man`: both say what `--help` says.

use crate::program::Bench;

/// The commands that the help lists.
fn commands(bench: &Bench) -> Vec<String> {
    let help = bench.does("--help");
    let list = help.text().split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let names = list.lines().filter_map(|line| line.split_whitespace().next());
    names.map(String::from).collect()
}

/// The long options that the help of a command lists.
fn options(bench: &Bench, command: &str) -> Vec<String> {
    let help = bench.does(&format!("{command} --help"));
    let words = help.text().split(|c: char| c.is_whitespace() || ",<>[]".contains(c));
    let mut found: Vec<String> = words
        .filter_map(|word| word.strip_prefix("--"))
        .filter(|word| !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase() || c == '-'))
        .map(String::from)
        .collect();
    found.sort();
    found.dedup();
    found
}

#[test]
fn completions_know_every_command_and_option() {
    let bench = Bench::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = bench.does(&format!("completions {shell}"));
        for command in commands(&bench) {
            assert!(script.text().contains(&command), "{shell}: {command}");
        }
        for option in options(&bench, "render") {
            assert!(script.text().contains(&option), "{shell}: --{option}");
        }
    }
    bench.fails("completions tcl", 2, &["tcl", "bash"]);
}

#[test]
fn every_command_has_a_manual_page_with_all_its_options() {
    let bench = Bench::new();
    let whole = bench.does("man");
    for command in commands(&bench) {
        assert!(whole.text().contains(&command.replace('-', "\\-")), "{command} is not listed");
        if command == "help" {
            continue;
        }
        let page = bench.does(&format!("man {command}"));
        // A page of section 1 with a name, as man(7) asks.
        assert!(page.text().contains(".TH ") && page.text().contains(".SH NAME"), "{command}");
        let flat = page.text().replace("\\-", "-");
        assert!(flat.contains(&format!("underpin-{command}")), "{command}: no name");
        for option in options(&bench, &command) {
            // The examples of groups of commands name options of their members.
            let own = !["signal", "presets"].contains(&command.as_str());
            assert!(!own || flat.contains(&format!("--{option}")), "{command}: --{option}");
        }
        assert!(flat.contains("Examples:"), "{command}: no examples");
    }
    bench.fails("man rendr", 2, &["rendr", "--help"]);
}
