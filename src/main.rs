//! The `tabwright` command; everything is in the library's `cli`.

fn main() -> std::process::ExitCode {
    tabwright::cli::run()
}
