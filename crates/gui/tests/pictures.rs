//! Every view in both appearances at three text sizes in a window of 1280×800 pixels: no text is cut
//! off or runs into another, every press finds its target, and the same picture comes twice.
//!
//! Pictures are judged by what is to be painted, without a graphics card: these checks live through
//! a change of the design, and a text that leaves its place is named.

use egui::epaint::{ClippedShape, Shape, TextShape};
use egui::{Rect, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use overarm::session::{Appearance, Command, Places, Settings};
use overarm::window::{App, Start};

type Window = Harness<'static, Option<App>>;

/// The harness keeps 8 points free on each side.
const MARGIN: f32 = 8.0;
const WINDOW: Vec2 = vec2(1280.0, 800.0);
const TEXT_PERCENT: [u16; 3] = [100, 150, 200];
/// What may stick out, points: side bearings of letters, and rounding to pixels.
const TRACE: f32 = 1.5;

/// What is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
enum View {
    Side,
    Page(Command),
    Rule,
    Question,
}

const VIEWS: [View; 8] = [
    View::Side,
    View::Page(Command::Numbers),
    View::Page(Command::Site),
    View::Page(Command::History),
    View::Page(Command::AllActions),
    View::Page(Command::About),
    View::Rule,
    View::Question,
];

#[derive(Clone, Copy, Debug)]
struct Look {
    view: View,
    appearance: Appearance,
    text_percent: u16,
    plots_open: bool,
}

fn every_look() -> Vec<Look> {
    let mut looks = Vec::new();
    for view in VIEWS {
        for appearance in [Appearance::Light, Appearance::Dark] {
            for text_percent in TEXT_PERCENT {
                for plots_open in [false, true] {
                    looks.push(Look { view, appearance, text_percent, plots_open });
                }
            }
        }
    }
    looks
}

fn open(look: Look) -> Window {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let places = Places::below(folder.path());
    let settings = Settings {
        appearance: look.appearance,
        text_percent: look.text_percent,
        plots_open: look.plots_open,
        ..Settings::default()
    };
    settings.write(&places.settings).expect("settings can be written");
    let start = Start { file: None, places: Some(places) };
    let points = WINDOW * 100.0 / f32::from(look.text_percent) + Vec2::splat(2.0 * MARGIN);
    let builder = Harness::builder().with_size(points).with_max_steps(16);
    let mut window = builder.build_ui_state(
        move |ui, app: &mut Option<App>| app.get_or_insert_with(|| App::new(ui.ctx(), start.clone())).show(ui),
        None,
    );
    window.run();
    match look.view {
        View::Side => {}
        View::Page(command) => key(&mut window, command),
        View::Rule => {
            let rule = overarm_solver::Rule::ALL[0];
            window.get_by_label_contains(rule.title()).click();
            window.run();
        }
        View::Question => key(&mut window, Command::Make),
    }
    // The folder is read once; what is written on leaving goes nowhere.
    drop(folder);
    window
}

fn key(window: &mut Window, command: Command) {
    match command.words().shortcut {
        Some(shortcut) => {
            let modifiers = egui::Modifiers { command: shortcut.ctrl, shift: shortcut.shift, ..Default::default() };
            let key = egui::Key::from_name(&shortcut.key.to_string()).expect("keys of commands are on keyboards");
            window.key_press_modifiers(modifiers, key);
        }
        // Commands without a key stand in the list of all actions.
        None => {
            window.key_press(egui::Key::A);
            window.run();
            let label = command.words().label;
            window.query_all_by_label(label).last().expect("every command is in the list").click();
        }
    }
    window.run();
}

/// A text with where it is and where it may be seen.
struct Text {
    words: String,
    rect: Rect,
    clip: Rect,
    elided: bool,
    turned: bool,
}

fn texts(shapes: &[ClippedShape]) -> Vec<Text> {
    let mut found = Vec::new();
    for clipped in shapes {
        collect(&clipped.shape, clipped.clip_rect, &mut found);
    }
    found.retain(|text| !text.words.trim().is_empty() && text.rect.intersects(text.clip));
    found
}

fn collect(shape: &Shape, clip: Rect, found: &mut Vec<Text>) {
    match shape {
        Shape::Vec(inner) => inner.iter().for_each(|shape| collect(shape, clip, found)),
        Shape::Text(text) => found.push(Text {
            words: text.galley.job.text.clone(),
            rect: ink(text),
            clip,
            elided: text.galley.elided,
            turned: text.angle != 0.0,
        }),
        _ => {}
    }
}

/// Where a text has ink, without the air of its lines.
fn ink(text: &TextShape) -> Rect {
    if text.angle == 0.0 { text.galley.mesh_bounds.translate(text.pos.to_vec2()) } else { text.visual_bounding_rect() }
}

#[test]
fn no_text_is_cut_off_and_none_runs_into_another() {
    let mut wrong = Vec::new();
    for look in every_look() {
        let window = open(look);
        let screen = Rect::from_min_size(egui::Pos2::ZERO, WINDOW * 100.0 / f32::from(look.text_percent))
            .translate(Vec2::splat(MARGIN));
        let drawing = window.query_all_by_label("Side view").next().map_or(Rect::NOTHING, |node| node.rect());
        let texts = texts(&window.output().shapes);
        assert!(texts.len() > 10, "{look:?} shows {} texts", texts.len());
        for (index, text) in texts.iter().enumerate() {
            let place = text.clip.intersect(screen).expand(TRACE);
            let in_drawing = drawing.expand(1.0).contains_rect(text.clip.intersect(screen));
            // A list that is scrolled shows part of a line at its edge; nothing may be cut sideways.
            let sideways = text.rect.left() < place.left() || text.rect.right() > place.right();
            let upright = text.rect.top() < place.top() || text.rect.bottom() > place.bottom();
            let scrolls = !in_drawing && text.clip.width() < 0.75 * screen.width();
            if !in_drawing && sideways {
                wrong.push(format!("{look:?}: “{}” is cut off sideways: {} of {}", text.words, text.rect, text.clip));
            }
            if !in_drawing && upright && !scrolls {
                wrong.push(format!("{look:?}: “{}” is cut off: {} of {}", text.words, text.rect, text.clip));
            }
            if text.elided {
                wrong.push(format!("{look:?}: “{}” ends in dots", text.words));
            }
            for other in &texts[index + 1..] {
                let shared = text.rect.intersect(text.clip).intersect(other.rect.intersect(other.clip));
                if !text.turned && !other.turned && shared.width() > TRACE && shared.height() > TRACE {
                    wrong.push(format!("{look:?}: “{}” runs into “{}” at {shared}", text.words, other.words));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} texts:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn the_same_picture_comes_twice() {
    for look in every_look().into_iter().step_by(5) {
        let [one, other] = [(); 2].map(|()| {
            let window = open(look);
            let shapes = window.output().shapes.clone();
            window.ctx.tessellate(shapes, window.output().pixels_per_point)
        });
        assert_eq!(format!("{one:?}"), format!("{other:?}"), "{look:?}");
    }
}

#[test]
fn what_is_pressed_is_large_enough() {
    use egui::accesskit::Role;
    let mut small = Vec::new();
    for view in VIEWS {
        let look = Look { view, appearance: Appearance::Light, text_percent: 100, plots_open: true };
        let window = open(look);
        let pressed = window.query_all(egui_kittest::kittest::By::new().predicate(|node| {
            matches!(node.role(), Role::Button | Role::CheckBox | Role::RadioButton | Role::ComboBox | Role::Link)
        }));
        for node in pressed {
            let rect = node.rect();
            // A handle is as large as the drawing has room for: where two are near, it is its own check.
            let name = node.accesskit_node().label().unwrap_or_default();
            if name.ends_with("pivot") {
                continue;
            }
            // A row of a list is as high as its rows are; what stands alone is a whole target.
            if rect.height() < 27.5 && rect.width() > 0.0 {
                small.push(format!(
                    "{view:?}: {:?} “{}” {rect}",
                    node.accesskit_node().role(),
                    node.accesskit_node().label().unwrap_or_default()
                ));
            }
        }
    }
    assert!(small.is_empty(), "{} targets:\n{}", small.len(), small.join("\n"));
}
