//! The program `underpin`.

fn main() -> std::process::ExitCode {
    underpin::cli::main()
}
