//! `cargo xtask`: every chore of the project.

use std::process::ExitCode;
use strungwell_xtask::run::{Failed, say};
use strungwell_xtask::{bench, check, page, pictures, server};

const HELP: &str = "cargo xtask COMMAND

  serve [--port N]   set up what is missing, build the page, serve it at 127.0.0.1 (port 8080)
  test [PART ...]    set up what is missing and run everything, or parts: format lints native page browser
  dist [--rough]     write dist/, a folder that any static host can serve from any path; --rough: sooner and heavier,
                     for looking at a change
  bench [--json] [--page] [--rough]
                     time notes, reports, plans and sounds natively and in a real browser, and weigh and time the page beside a
                     bare counter; --page: the page alone; --rough: built sooner and heavier, to see whether it works
  screenshots        take the pictures of docs/pictures in a real browser
  look [--out DIR] [--width N] [--dark] [--print] [--script FILE]
                     take one picture of the page, and print it to PDF
";

#[allow(clippy::print_stderr, clippy::print_stdout)]
fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let done = match words.split_first() {
        Some((word, rest)) => match word.as_str() {
            "serve" => serve(rest),
            "test" => check::run_parts(rest),
            "dist" => dist(rest),
            "bench" => bench::run_all(rest).map(|text| println!("{text}")),
            "screenshots" => pictures::keep(),
            "look" => pictures::look(rest),
            "help" | "--help" | "-h" => {
                println!("{HELP}");
                Ok(())
            }
            other => Err(format!("\"{other}\" is no command\n\n{HELP}")),
        },
        None => Err(HELP.into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("xtask: {why}");
            ExitCode::FAILURE
        }
    }
}

fn dist(rest: &[String]) -> Result<(), Failed> {
    let dist = match rest {
        [] => page::build().and_then(|dist| page::weigh(&dist).map(|()| dist))?,
        [flag] if flag == "--rough" => page::build_as(page::Build::Rough)?,
        _ => return Err(format!("not understood: {}\n\n{HELP}", rest.join(" "))),
    };
    say(&format!("the page stands in {}", dist.display()));
    Ok(())
}

fn serve(rest: &[String]) -> Result<(), Failed> {
    let port = match rest {
        [] => 8080,
        [flag, port] if flag == "--port" => port
            .parse()
            .map_err(|_| format!("\"{port}\" is not a port; a whole number up to 65535 is"))?,
        _ => return Err(format!("not understood: {}\n\n{HELP}", rest.join(" "))),
    };
    let runtime = tokio::runtime::Runtime::new().map_err(|why| why.to_string())?;
    // The port first: a minute of building for a port that is taken would be a pity.
    let listener = runtime.block_on(server::listen(port)).map_err(|why| {
        format!(
            "port {port} cannot be had ({why}); choose another with --port, or 0 for a free one"
        )
    })?;
    let dist = page::build()?;
    let at = listener.local_addr().map_err(|why| why.to_string())?;
    say(&format!(
        "serving http://{at} on this machine alone; stop with Ctrl-C"
    ));
    runtime
        .block_on(server::serve(listener, dist))
        .map_err(|why| why.to_string())
}
