//! The page of demos, driven by accessible names as a person with assistive technology would.

use std::time::{Duration, Instant};

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use overarm::session::{Demo, about};
use overarm_solver::Units;

use crate::harness::open_window;

#[test]
fn every_demo_is_listed_with_its_sentence_and_opens() {
    let mut window = open_window();
    window.key_press_modifiers(Modifiers::SHIFT, Key::D);
    window.run();
    for demo in Demo::all() {
        let project = demo.project();
        let sentence = about(&project).expect("every demo says what it is for");
        assert!(window.query_by_label(sentence).is_some(), "{sentence}");
        let units = match project.units() {
            Units::Millimetre => "in millimetres",
            Units::Inch => "in inches",
            Units::FeetInch => "in feet and inches",
        };
        window.get_by_label(&format!("Open {} {units}", project.title())).click();
        let patience = Instant::now() + Duration::from_secs(20);
        loop {
            window.step();
            let session = window.state().as_ref().expect("a window").session();
            // The first one is there already: that it was opened anew is what is said.
            if *session.project() == project && session.notice().is_some() && session.document().path().is_none() {
                break;
            }
            assert!(Instant::now() < patience, "{} was never opened", demo.file_name());
            std::thread::sleep(Duration::from_millis(5));
        }
        window.run();
    }
}
