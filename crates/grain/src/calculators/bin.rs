//! Bins and heaps.

use stook_measure::units::{L_PER_IMPERIAL_BUSHEL, L_PER_US_BUSHEL, bushels_per_tonne};
use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{grain_input, grain_of, output, refuse, shipped};
use crate::bin::{Bin, Floor, Heap, M3_PER_FT3, peak_m3, pile_diameter_m};
use crate::grain::Properties;

fn us_bu(m3: f64) -> f64 {
    1000.0 * m3 / L_PER_US_BUSHEL
}

fn shape() -> Vec<Input> {
    vec![
        Input::number("diameter_m", "m", 1.0, 60.0, "inside diameter"),
        Input::number("wall_m", "m", 0.0, 30.0, "height of the wall"),
        Input::number("hopper_m", "m", 0.0, 15.0, "height of the hopper below the wall; 0 for a flat floor")
            .or(0.0),
        Input::number("outlet_m", "m", 0.0, 3.0, "diameter of the hopper's outlet").or(0.0),
        grain_input(),
        Input::number("angle_deg", "deg", 5.0, 45.0, "slope of the heap; left out, the grain's own")
            .optional(),
    ]
}

fn bin_of(a: &stook_measure::Args) -> (Bin, Heap, f64) {
    let floor = match a.number("hopper_m") {
        h if h > 0.0 => Floor::Hopper { height_m: h, outlet_m: a.number("outlet_m") },
        _ => Floor::Flat,
    };
    let heap = Heap::from_reference(shipped(), grain_of(a));
    let angle = a.maybe_number("angle_deg").unwrap_or(heap.filling_deg);
    (Bin { diameter_m: a.number("diameter_m"), wall_m: a.number("wall_m"), floor }, heap, angle)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.bin_volume",
            title: "What a bin holds",
            about: "Volume of a round bin level and heaped, with a flat floor or a hopper.",
            inputs: shape(),
            outputs: vec![
                output("level_m3", "m3", "to the eave, level"),
                output("heaped_m3", "m3", "with the heap"),
                output("peak_m3", "m3", "the heap alone"),
                output("hopper_m3", "m3", "the hopper alone"),
                output("level_ft3", "ft3", "to the eave, level"),
                output("level_bu", "bu", "to the eave, level, US volume bushels"),
                output("level_imperial_bu", "bu", "to the eave, level, imperial bushels"),
                output("peak_bu", "bu", "the heap alone, US volume bushels"),
            ],
            source: "geometry; heap angles from MWPS-13, from memory",
            run: |a| {
                let (bin, _, angle) = bin_of(a);
                let (level, peak) = (bin.level_m3(), peak_m3(bin.diameter_m, angle));
                let w = Working::new("What the bin holds")
                    .line(Op::Start, "Hopper", bin.hopper_m3(), "m3", 1)
                    .line(Op::Plus, "Between the walls", level - bin.hopper_m3(), "m3", 1)
                    .line(Op::Plus, "Heap", peak, "m3", 1)
                    .sum("Heaped", bin.heaped_m3(angle), "m3", 1)
                    .note(format!("Heap at {angle:.0} degrees."))
                    .source("geometry");
                Ok(Outcome::new(w)
                    .with("level_m3", level)
                    .with("heaped_m3", bin.heaped_m3(angle))
                    .with("peak_m3", peak)
                    .with("hopper_m3", bin.hopper_m3())
                    .with("level_ft3", level / M3_PER_FT3)
                    .with("level_bu", us_bu(level))
                    .with("level_imperial_bu", 1000.0 * level / L_PER_IMPERIAL_BUSHEL)
                    .with("peak_bu", us_bu(peak)))
            },
        },
        Calculator {
            name: "grain.bin_fill",
            title: "What is in a bin, and room left",
            about: "Weight by measuring the bin, with packing and its uncertainty. Scale tickets are better and override it.",
            inputs: {
                let mut v = shape();
                v.push(Input::number("depth_m", "m", 0.0, 30.0, "grain up the wall"));
                v.push(
                    Input::number(
                        "heap",
                        "1",
                        -1.0,
                        1.0,
                        "1 with a full heap, 0 level, -1 with an inverted cone",
                    )
                    .or(0.0),
                );
                v.push(
                    Input::number(
                        "test_weight_kg_hl",
                        "kg/hL",
                        30.0,
                        90.0,
                        "test weight; left out, the grain's usual",
                    )
                    .optional(),
                );
                v
            },
            outputs: vec![
                output("mass_t", "t", "weight"),
                output("low_t", "t", "at the low end of packing"),
                output("high_t", "t", "at the high end"),
                output("bushels", "bu", "weight bushels"),
                output("room_m3", "m3", "room left, heaped"),
                output("room_t", "t", "room left, heaped"),
            ],
            source: "geometry; packing 0 to 6 %, from memory; errors from Bhadra et al.",
            run: |a| {
                let (bin, heap, angle) = bin_of(a);
                let p = Properties::from_reference(shipped(), grain_of(a));
                let tw = a.maybe_number("test_weight_kg_hl").unwrap_or(p.density_kg_m3 / 10.0);
                let volume = bin.filled_m3(a.number("depth_m"), a.number("heap"), angle).max(0.0);
                bin.level_depth_m(volume, angle).map_err(refuse)?;
                let mass = heap.mass_kg(volume, tw);
                let room = bin.room_m3(volume, angle);
                let w = Working::new("What is in the bin")
                    .line(Op::Start, "Volume", volume, "m3", 2)
                    .line(Op::Times, "Test weight", tw / 100.0, "t/m3", 4)
                    .line(Op::Times, "Packing", heap.pack, "", 3)
                    .sum("Weight", mass / 1000.0, "t", 1)
                    .note(format!("Packing is good to {:.0} %.", 100.0 * heap.pack_uncertainty))
                    .would_change("scale tickets override this");
                Ok(Outcome::new(w)
                    .with("mass_t", mass / 1000.0)
                    .with("low_t", mass * (1.0 - heap.pack_uncertainty) / 1000.0)
                    .with("high_t", mass * (1.0 + heap.pack_uncertainty) / 1000.0)
                    .with("bushels", mass / 1000.0 * bushels_per_tonne(p.lb_per_bu))
                    .with("room_m3", room)
                    .with("room_t", heap.mass_kg(room, tw) / 1000.0))
            },
        },
        Calculator {
            name: "grain.coring",
            title: "Grain to draw to pull the core",
            about: "Right after filling, draw until half the heap is down: it takes out the fines where air goes least. Never enter a bin while grain moves.",
            inputs: vec![
                Input::number("diameter_m", "m", 1.0, 60.0, "inside diameter"),
                grain_input(),
                Input::number("angle_deg", "deg", 5.0, 45.0, "slope of the heap; left out, the grain's own")
                    .optional(),
            ],
            outputs: vec![
                output("draw_m3", "m3", "to draw each time"),
                output("draw_bu", "bu", "to draw each time, US volume bushels"),
                output("to_inverted_m3", "m3", "from a full heap to an equal inverted cone"),
            ],
            source: "Iowa State 2020; Purdue",
            run: |a| {
                let heap = Heap::from_reference(shipped(), grain_of(a));
                let angle = a.maybe_number("angle_deg").unwrap_or(heap.filling_deg);
                let peak = peak_m3(a.number("diameter_m"), angle);
                let w = Working::new("Coring")
                    .line(Op::Start, "Heap", peak, "m3", 2)
                    .line(Op::Over, "Half of it", 2.0, "", 0)
                    .sum("To draw", peak / 2.0, "m3", 1)
                    .note("Lock out the unloader before anyone looks in from the top; nobody inside while grain moves.");
                Ok(Outcome::new(w)
                    .with("draw_m3", peak / 2.0)
                    .with("draw_bu", us_bu(peak / 2.0))
                    .with("to_inverted_m3", 2.0 * peak))
            },
        },
        Calculator {
            name: "grain.pile",
            title: "Width of a round pile",
            about: "Diameter of a round pile on the ground at the slope grain takes.",
            inputs: vec![
                Input::number("volume_m3", "m3", 0.1, 1e6, "volume"),
                Input::number("angle_deg", "deg", 5.0, 45.0, "slope").or(25.0),
            ],
            outputs: vec![
                output("diameter_m", "m", "across the foot"),
                output("height_m", "m", "to the peak"),
                output("ft_factor", "ft3/bu", "cube of the diameter in feet for each US volume bushel"),
            ],
            source: "geometry; form after Dorn, Univ. of Nebraska",
            run: |a| {
                let (v, angle) = (a.number("volume_m3"), a.number("angle_deg"));
                let d = pile_diameter_m(v, angle);
                let factor = (d / stook_measure::units::M_PER_FT).powi(3) / us_bu(v);
                let w = Working::new("Pile")
                    .line(Op::Note, "Volume", v, "m3", 1)
                    .line(Op::Note, "Slope", angle, "deg", 0)
                    .sum("Diameter", d, "m", 2);
                Ok(Outcome::new(w)
                    .with("diameter_m", d)
                    .with("height_m", d / 2.0 * angle.to_radians().tan())
                    .with("ft_factor", factor))
            },
        },
    ]
}
