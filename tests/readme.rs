//! The README is true: its commands are run, and what it shows is what they print.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

use std::path::Path;
use std::process::Command;

fn read(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name))
        .expect("a file of the repository")
}

/// The fenced blocks of one kind.
fn blocks(text: &str, kind: &str) -> Vec<Vec<String>> {
    let mut blocks = Vec::new();
    let mut open: Option<Vec<String>> = None;
    for line in text.lines() {
        match &mut open {
            None if line == format!("```{kind}") => open = Some(Vec::new()),
            Some(_) if line == "```" => blocks.extend(open.take()),
            Some(block) => block.push(line.to_owned()),
            None => {}
        }
    }
    blocks
}

/// Whether the shown lines stand in the printed ones, in order and together between `…`, from `from` on.
fn find(printed: &[String], shown: &[String], from: usize) -> Option<usize> {
    (from..=printed.len().checked_sub(shown.len())?).find(|&at| printed[at..].starts_with(shown))
}

#[test]
fn shown_output_is_what_is_printed() {
    let mut shown = 0;
    for block in blocks(&read("README.md"), "console") {
        let Some(question) = block[0].strip_prefix("$ ohmwright ") else { continue };
        let output = Command::new(env!("CARGO_BIN_EXE_ohmwright"))
            .args(question.split_whitespace())
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .expect("the program runs");
        assert_ne!(output.status.code(), Some(2), "{question}: {:?}", output.status);
        let printed: Vec<String> =
            String::from_utf8(output.stdout).unwrap().lines().map(str::to_owned).collect();
        let mut from = 0;
        for chunk in block[1..].split(|line| line == "…") {
            from = find(&printed, chunk, from)
                .unwrap_or_else(|| panic!("{question}: not printed:\n{}", chunk.join("\n")))
                + chunk.len();
        }
        shown += 1;
    }
    assert_eq!(shown, 16, "three everyday questions, three about reasons, and what else is shown");
}

#[test]
fn main_job_and_tests_are_one_command_each() {
    let readme = read("README.md");
    let commands: Vec<String> = blocks(&readme, "console").into_iter().flatten().collect();
    assert!(commands.contains(&"cargo test".to_owned()));
    let job = commands.iter().find_map(|line| line.strip_prefix("cargo run --release -- "));
    let output = Command::new(env!("CARGO_BIN_EXE_ohmwright"))
        .args(job.expect("the main job").split_whitespace())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    assert!(output.status.success());
}

#[test]
fn shown_brief_is_the_example() {
    let example = read("examples/river-launch.yaml");
    let lines: Vec<&str> = example.lines().filter(|line| !line.starts_with('#')).collect();
    assert_eq!(blocks(&read("README.md"), "yaml"), [lines]);
}
