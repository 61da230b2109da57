//! Plans blends and manure for farms given as JSON, one a line, and answers each in JSON, for `checks/`.
//!
//! `{"blends": job, "mixes": 12}` answers with the mixes looked at (so many at most) and the best plan from them;
//! `{"manure": job}` with its plan. What cannot be is answered with `{"cannot": why}`.

use std::io::{BufRead, Write};

use serde_json::{Value as Json, json};
use stook_inputs::blend::{self, own, pool};
use stook_inputs::manure::plan as manure;

fn blends(asked: &Json) -> Result<Json, Box<dyn std::error::Error>> {
    let job: blend::Job = serde_json::from_value(asked["blends"].clone())?;
    let most = usize::try_from(asked["mixes"].as_u64().unwrap_or(u64::MAX))?;
    let owns: Result<Vec<_>, _> = job.lands.iter().map(|l| own::own(l, &job.offers, &job.settings)).collect();
    let owns = match owns {
        Ok(owns) => owns,
        Err(e) => return Ok(json!({"cannot": e.to_string()})),
    };
    let mut mixes = pool::pool(&job, &owns)?;
    mixes.truncate(most);
    Ok(match blend::plan_from(&job, &owns, &mixes) {
        Ok(plan) => json!({"mixes": mixes, "plan": plan}),
        Err(e) => json!({"cannot": e.to_string(), "mixes": mixes}),
    })
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let asked: Json = serde_json::from_str(&line?)?;
        let answer = if asked["manure"].is_object() {
            match manure::plan(&serde_json::from_value(asked["manure"].clone())?) {
                Ok(plan) => json!({"plan": plan}),
                Err(e) => json!({"cannot": e.to_string()}),
            }
        } else {
            blends(&asked)?
        };
        writeln!(out, "{answer}")?;
    }
    Ok(())
}
