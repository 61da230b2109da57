//! The commands, one file each.

mod add;
mod air;
mod barn;
mod bins;
mod book_file;
mod calc;
mod calendar;
mod crop;
mod demo;
mod desk;
mod entries;
mod fertilizer;
mod field;
mod harvest;
mod haul;
mod hindcast;
mod import;
mod import_soil;
mod keep;
mod load;
mod manure;
mod money;
mod order;
mod pays;
mod plan;
mod prove;
mod rain;
mod records;
mod reference;
mod season;
mod spray;
mod task_data;
mod today;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// What is worth doing on the farm today, and what does waiting a day cost.
#[derive(Debug, Parser)]
#[command(name = "stook", version, max_term_width = 100, arg_required_else_help = true)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Today(today::Today),
    Field(field::FieldCommand),
    Crop(crop::Crop),
    Rain(rain::Rain),
    Plan(plan::Plan),
    Pays(pays::Pays),
    TaskData(task_data::TaskData),
    Air(air::Air),
    Bins(bins::Bins),
    Bin(bins::Bin),
    Order(order::Order),
    Manure(manure::Manure),
    Money(money::Money),
    Spray(spray::Spray),
    Records(records::Records),
    Calendar(calendar::Calendar),
    Fertilizer(fertilizer::Fertilizer),
    Barn(barn::Barn),
    Ration(barn::RationCommand),
    MillOrTrough(barn::Where),
    Trace(barn::Trace),
    Load(load::LoadCommand),
    Add(add::Add),
    Entries(entries::Entries),
    Harvest(harvest::Harvest),
    Haul(haul::Haul),
    Import(import::Import),
    Calc(calc::Calc),
    Reference(reference::ReferenceCommand),
    Prove(prove::Prove),
    Hindcast(hindcast::Hindcast),
    Desk(desk::Desk),
    New(keep::New),
    Demo(demo::Demo),
    Backup(keep::Backup),
    Restore(keep::Restore),
    Verify(keep::Verify),
}

/// Runs the command.
///
/// # Errors
/// In one sentence.
pub fn run(cli: Cli) -> anyhow::Result<ExitCode> {
    match cli.command {
        Command::Today(a) => today::run(&a),
        Command::Field(a) => field::run(&a),
        Command::Crop(a) => crop::run(&a),
        Command::Rain(a) => rain::run(&a),
        Command::Plan(a) => plan::run(&a),
        Command::Pays(a) => pays::run(&a),
        Command::TaskData(a) => task_data::run(&a),
        Command::Air(a) => air::run(&a),
        Command::Bins(a) => bins::all(&a),
        Command::Bin(a) => bins::one(&a),
        Command::Order(a) => order::run(&a),
        Command::Manure(a) => manure::run(&a),
        Command::Money(a) => money::run(&a),
        Command::Spray(a) => spray::run(&a),
        Command::Records(a) => records::run(&a),
        Command::Calendar(a) => calendar::run(&a),
        Command::Fertilizer(a) => fertilizer::run(&a),
        Command::Barn(a) => barn::barn(&a),
        Command::Ration(a) => barn::ration(&a),
        Command::MillOrTrough(a) => barn::whole(&a),
        Command::Trace(a) => barn::trace(&a),
        Command::Load(a) => load::run(&a),
        Command::Add(a) => add::run(&a),
        Command::Entries(a) => entries::run(&a),
        Command::Harvest(a) => harvest::run(&a),
        Command::Haul(a) => haul::run(&a),
        Command::Import(a) => import::run(&a),
        Command::Calc(a) => calc::run(&a),
        Command::Reference(a) => reference::run(&a),
        Command::Prove(a) => prove::run(&a),
        Command::Hindcast(a) => hindcast::run(&a),
        Command::Desk(a) => desk::run(a),
        Command::New(a) => keep::new(&a),
        Command::Demo(a) => demo::run(&a),
        Command::Backup(a) => keep::backup(&a),
        Command::Restore(a) => keep::restore(&a),
        Command::Verify(a) => keep::verify(&a),
    }
}
