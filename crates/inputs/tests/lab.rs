//! Laboratory files as they come: wide, long, remembered, Modus in its three forms, and what is wrong with them.

use jiff::civil::{Date, date};
use stook_book::payload::{Field, LabLayout, SoilDescription};
use stook_book::{Entry, Farm, Payload};
use stook_inputs::lab::{self, Answers, Reading, Sheet};

fn farm(extra: Vec<Payload>) -> Farm {
    let fields =
        ["Slough Quarter", "Long 90", "Tower", "Schoolhouse", "North Bench", "Crossing", "Railway", "Poplar"];
    let mut entries: Vec<Entry> = fields
        .iter()
        .map(|name| {
            let f = Field {
                id: stook_book::FieldId::from_name(name),
                name: (*name).into(),
                area_ha: 60.0,
                boundary: None,
                soil: SoilDescription::NotKnown,
                drainage: None,
                cover: None,
                distance_km: None,
                lie: None,
            };
            Entry::new(date(2024, 1, 1).at(8, 0, 0, 0), "Ada", f)
        })
        .collect();
    entries.extend(extra.into_iter().map(|p| Entry::new(date(2024, 1, 2).at(8, 0, 0, 0), "Ada", p)));
    Farm::fold(&entries)
}

const TODAY: Date = date(2025, 11, 20);

fn read(text: &str, answers: &Answers) -> Reading {
    lab::read(text.as_bytes(), &farm(vec![]), answers, TODAY).unwrap()
}

fn done(text: &str, answers: &Answers) -> Sheet {
    match read(text, answers) {
        Reading::Done(s) => s,
        Reading::Ask { questions, .. } => panic!("asked: {questions:#?}"),
    }
}

fn keys(r: &Reading) -> Vec<String> {
    match r {
        Reading::Ask { questions, .. } => questions.iter().map(|q| q.key.clone()).collect(),
        Reading::Done(s) => panic!("not asked: {} tests", s.tests.len()),
    }
}

const DEMO: &str = include_str!("../../../demo/lab-2025-fall.csv");

#[test]
fn the_demo_file_comes_in() {
    let s = done(DEMO, &Answers::default());
    assert_eq!(s.tests.len(), 8);
    let slough = s.tests.iter().find(|t| t.field_name == "Slough Quarter").unwrap();
    assert_eq!(slough.is.cores, Some(20));
    assert_eq!(slough.is.soil_temp_c, Some(6.0));
    let l = &slough.is.layers;
    assert_eq!(l.len(), 3, "0-6, 0-24 and 6-24 in");
    let p = l[0].values.iter().find(|v| v.what == "p").unwrap();
    assert_eq!(
        (p.value, p.unit.as_str(), p.extractant.as_deref(), p.basis.as_deref()),
        (9.0, "ppm", Some("Olsen"), Some("P"))
    );
    assert!(slough.is.text.contains("5101"), "the line as it stood is kept");
    // the bad cell is named by line and column, and the rest of its line comes in
    assert_eq!(s.bad.len(), 1, "{:?}", s.bad);
    assert_eq!((s.bad[0].line, s.bad[0].column.as_str()), (11, "NO3-N 6-24 in (lb/ac)"));
    assert!(s.notes.iter().any(|n| n.contains("bound")), "{:?}", s.notes);
}

#[test]
fn what_is_not_said_is_asked_and_then_remembered() {
    let text = "Field,Date,Nitrate,Phosphate\nTower,2025-10-20,14,9\n";
    let asked = read(text, &Answers::default());
    assert_eq!(
        keys(&asked),
        ["c2.unit", "c2.basis", "c2.depth", "c3.unit", "c3.basis", "c3.depth", "c3.method"]
    );
    let mut a = Answers::default();
    for (k, v) in [
        ("c2.unit", "ppm"),
        ("c2.basis", "N"),
        ("c2.depth", "0-24 in"),
        ("c3.unit", "ppm"),
        ("c3.basis", "P2O5"),
        ("c3.depth", "0-6 in"),
        ("c3.method", "Olsen"),
    ] {
        a = a.with(k, v);
    }
    let s = done(text, &a);
    assert_eq!(s.tests.len(), 1);
    let layout =
        LabLayout { fingerprint: s.fingerprint.clone(), name: "ours".into(), answers: s.answers.clone() };
    let knows = farm(vec![layout.into()]);
    let again = "Field,Date,Nitrate,Phosphate\nPoplar,2025-10-21,20,11\n";
    let Reading::Done(s) = lab::read(again.as_bytes(), &knows, &Answers::default(), TODAY).unwrap() else {
        panic!("asked again")
    };
    assert_eq!(s.tests[0].field_name, "Poplar");
}

#[test]
fn a_line_a_figure_and_a_row_of_units() {
    let long = "Sample ID;Field;Date;Depth (in);Analyte;Result;Units;Method\n\
                A1;Tower;21.10.2025;0-6;Phosphorus;8,5;mg/kg;Olsen bicarbonate\n\
                A1;Tower;21.10.2025;0-6;Nitrate-N;11;mg/kg;KCl\n\
                A1;Tower;21.10.2025;6-24;Nitrate-N;6;mg/kg;KCl\n\
                A1;Tower;21.10.2025;0-6;Yttrium;6;mg/kg;x\n";
    let s = done(long, &Answers::default());
    assert_eq!(s.tests.len(), 1);
    assert_eq!(s.tests[0].is.layers.len(), 2);
    assert_eq!(s.tests[0].is.layers[0].values[0].value, 8.5);
    assert!(s.notes.iter().any(|n| n.contains("Yttrium")));

    let wide = "Field,Date,NO3-N 0-24 in,Olsen P 0-6 in\n,,lb/ac,ppm\nTower,10/21/2025,33,8\n";
    let s = done(wide, &Answers::default());
    let units: Vec<_> = s.tests[0].is.layers.iter().flat_map(|l| &l.values).map(|v| v.unit.clone()).collect();
    assert_eq!(units, ["ppm", "lb/ac"]);
}

#[test]
fn doubtful_dates_depths_and_fields_are_asked() {
    let text = "Field,Date,NO3-N 0-24 (ppm)\nThe Back Forty,3/4/2025,9\n";
    assert_eq!(keys(&read(text, &Answers::default())), ["date_order"]);
    let a = Answers::default().with("date_order", "dmy");
    assert_eq!(keys(&read(text, &a)), ["depth_unit", "field.thebackforty"]);
    let a = a.with("depth_unit", "in").with("field.thebackforty", "tower");
    let s = done(text, &a);
    assert_eq!((s.tests[0].is.sampled, s.tests[0].field_name.as_str()), (date(2025, 4, 3), "Tower"));
    let skipped = done(text, &a.with("field.thebackforty", "skip"));
    assert!(skipped.tests.is_empty());
}

#[test]
fn what_cannot_be_right_is_named() {
    let text = "Field,Date,NO3-N 0-24 in (ppm),pH 0-6 in,S 0-24 in (mg/L)\n\
                Tower,2076-10-20,14,7.5,\nTower,2025-10-20,wet,75,3\nTower,,14,7,\n,2025-10-20,14,7,\n";
    let s = done(text, &Answers::default());
    let said: Vec<String> =
        s.bad.iter().map(|b| format!("{} {}: {}", b.line, b.column, b.sentence)).collect();
    for (start, holds) in [
        ("2 NO3-N", "still to come"),
        ("3 NO3-N", "\"wet\" is not a number"),
        ("3 pH", "cannot be right"),
        ("3 S", "extract and not of the soil"),
        ("4 Date", "missing"),
        ("5 Field", "missing"),
    ] {
        assert!(said.iter().any(|b| b.starts_with(start) && b.contains(holds)), "{start}: {said:#?}");
    }
}

const XML: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<ModusResult Version="1.0"><Event>
<EventMetaData><EventCode>1</EventCode><EventDate>2025-10-20</EventDate><EventType><Soil/></EventType></EventMetaData>
<FMISMetaData><FMISProfile><Grower ID="A"></Grower><Field ID="Tower"></Field></FMISProfile></FMISMetaData>
<LabMetaData><LabName>North &amp; South</LabName></LabMetaData>
<EventSamples><Soil><DepthRefs><DepthRef DepthID="1"><Name>Top</Name><StartingDepth>0</StartingDepth><EndingDepth>6</EndingDepth><DepthUnit>in</DepthUnit></DepthRef></DepthRefs>
<SoilSample><SampleMetaData><SampleNumber>1</SampleNumber><FMISSampleID>T-1</FMISSampleID><Geometry>POINT(-101.3 50.1)</Geometry></SampleMetaData>
<Depths><Depth DepthID="1"><NutrientResults>
<NutrientResult><Element>pH</Element><Value>7.0</Value><ValueUnit>none</ValueUnit><ModusTestID>S-PH-1:1.02.07</ModusTestID></NutrientResult>
<NutrientResult><Element>P</Element><Value>90.0</Value><ValueUnit>ppm</ValueUnit><ModusTestID>S-P-B1-1:10.01.03</ModusTestID></NutrientResult>
<NutrientResult><Element>P</Element><Value>45.0</Value><ValueUnit>ppm</ValueUnit><ModusTestID>S-P-BIC.01.03</ModusTestID></NutrientResult>
<NutrientResult><Element>NO3-N</Element><Value>16.0</Value><ValueUnit>ppm</ValueUnit><ModusTestID>S-NO3-1:5.01.01</ModusTestID></NutrientResult>
<NutrientResult><Element>BS-K</Element><Value>4.9</Value><ValueUnit>%</ValueUnit><ModusTestID>S-BS-K.19</ModusTestID></NutrientResult>
</NutrientResults></Depth></Depths></SoilSample></Soil></EventSamples></Event></ModusResult>"#;

#[test]
fn modus_xml_keeps_the_methods_apart() {
    let s = done(XML, &Answers::default());
    assert_eq!(s.kind, "Modus XML");
    let t = &s.tests[0].is;
    assert_eq!(
        (t.lab.as_deref(), t.number.as_deref(), t.points.len()),
        (Some("North & South"), Some("T-1"), 1)
    );
    let ps: Vec<_> = t.layers[0]
        .values
        .iter()
        .filter(|v| v.what == "p")
        .map(|v| (v.value, v.extractant.as_deref()))
        .collect();
    assert_eq!(ps, [(90.0, Some("Bray 1")), (45.0, Some("Olsen"))]);
    assert!(!t.layers[0].values.iter().any(|v| v.what == "k"), "a share of the exchange is not potassium");
    assert!((t.layers[0].bottom_cm - 15.2).abs() < 1e-9);
    assert!(s.notes.iter().any(|n| n.contains("BS-K")));
}

#[test]
fn modus_json_in_both_forms() {
    let v1 = r#"{"Events":[{"EventMetaData":{"EventDate":"2025-10-20","EventType":{"Soil":true}},"LabMetaData":{"LabName":"North"},
      "EventSamples":{"Soil":{"DepthRefs":[{"DepthID":1,"Name":"0 to 15","StartingDepth":0,"EndingDepth":15,"DepthUnit":"cm"}],
      "SoilSamples":[{"SampleMetaData":{"SampleNumber":"0","ReportID":"9"},"Depths":[{"DepthID":"1","NutrientResults":[
      {"Element":"P","ValueUnit":"Mehlich 1   mg/kg (ppm)","Value":11.8},{"Element":"K","Value":210}]}]}]}}}]}"#;
    assert_eq!(keys(&read(v1, &Answers::default())), ["unit.k", "field."]);
    let s = done(v1, &Answers::default().with("unit.k", "ppm").with("field.", "tower"));
    assert_eq!(s.tests[0].is.layers[0].values[0].extractant.as_deref(), Some("Mehlich 1"));

    let slim = r#"{"date":"2025-10-20","lab":{"name":"North"},"source":{"field":{"name":"Tower"}},"depth":{"top":0,"bottom":6,"units":"in"},
      "samples":{"a":{"lab":{"sampleid":"77"},"geolocation":{"lat":50.1,"lon":-101.3},
      "results":{"1":{"analyte":"P","value":9,"units":"ppm","modusTestID":"S-P-BIC.04"},"2":{"analyte":"pH","value":7.1,"units":"none"}}}}}"#;
    let s = done(slim, &Answers::default());
    assert_eq!((s.tests[0].field_name.as_str(), s.tests[0].is.number.as_deref()), ("Tower", Some("77")));
    assert_eq!(s.tests[0].is.layers[0].values[0].extractant.as_deref(), Some("Olsen"));
}

#[test]
fn files_that_are_none() {
    let why =
        |bytes: &[u8]| lab::read(bytes, &farm(vec![]), &Answers::default(), TODAY).unwrap_err().to_string();
    assert!(why(b"").contains("empty"));
    assert!(why(b"PK\x03\x04\x00\x00").contains("not text"));
    assert!(why(b"hello\nworld\n").contains("no table"));
    assert!(why(b"<html><p>x</p></html>").contains("ModusResult"));
    assert!(why(&XML.as_bytes()[..1100]).contains("Modus"));
    assert!(why(b"{\"a\":1}").contains("neither Events nor samples"));
    assert!(why(b"{\"a\":").contains("cannot be read"));
}
