//! Solves problems given as JSON, one a line, and answers each with its solution in JSON, for `checks/`.

use std::io::{BufRead, Write};

use stook_optimise::Problem;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let problem: Problem = serde_json::from_str(&line?)?;
        let answer = problem.solve_ranged()?;
        writeln!(out, "{}", serde_json::to_string(&answer)?)?;
    }
    Ok(())
}
