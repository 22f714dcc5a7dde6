//! Every view in both appearances at three text sizes in a window of 1280×800 pixels: no text is cut
//! off or runs into another, every press finds its target, and the same picture comes twice.
//!
//! Pictures are judged by what is to be painted, without a graphics card: these checks live through
//! a change of the design, and a text that leaves its place is named.

use std::path::{Path, PathBuf};

use egui::accesskit::Role;
use egui::epaint::{ClippedShape, Shape, TextShape};
use egui::{Color32, Key, Modifiers, Pos2, Rect, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{AccessKitNode, By, NodeT, Queryable};
use overarm::session::{Appearance, Asking, COMMANDS, Command, Demo, Drawing, Handle, Places, Settings};
use overarm::window::{App, Start};
use overarm_shopfiles::project_file;

use crate::harness::{Window, app, wait_until};

/// The harness keeps 8 points free on each side.
const MARGIN: f32 = 8.0;
const WINDOW: Vec2 = vec2(1280.0, 800.0);
const TEXT_PERCENT: [u16; 3] = [100, 150, 200];
/// What may stick out, points: side bearings of letters, and rounding to pixels.
const TRACE: f32 = 1.5;
/// Where temporary folders differ, paths do not.
const FOLDER: &str = "pictures";

/// What is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
enum View {
    /// As it opens, on a demo.
    Opened(Demo),
    /// After a command.
    After(Command),
    /// A rule is picked, and what can be done about it is told.
    Rule,
    /// A bar is picked.
    Bar,
    /// A path is refused.
    Refused,
    /// Changes are not saved and the window is to be closed.
    Unsaved,
    /// A crash left work behind.
    Recovery,
    /// A job folder cannot be written.
    NotMade,
}

/// After these a window looks as before: they do something else, or nothing here, or are seen another way.
const LOOK_NO_OTHER: [Command; 14] = [
    Command::Save,
    Command::Undo,
    Command::Redo,
    Command::DragFreely,
    Command::KeepEndPoses,
    Command::Play,
    Command::SideView,
    Command::Appearance,
    Command::FollowSystem,
    Command::LargerText,
    Command::SmallerText,
    Command::UsualText,
    Command::ReduceMotion,
    Command::Close,
];

/// One list: a new command has its picture by being in the list of commands.
fn views() -> Vec<View> {
    let commands = COMMANDS.iter().map(|words| words.command).filter(|command| !LOOK_NO_OTHER.contains(command));
    let asked = [View::Rule, View::Bar, View::Refused, View::Unsaved, View::Recovery, View::NotMade];
    Demo::all().map(View::Opened).chain(commands.map(View::After)).chain(asked).collect()
}

#[derive(Clone, Copy, Debug)]
struct Look {
    view: View,
    appearance: Appearance,
    text_percent: u16,
}

/// Every view in every size of text.
fn every_look(appearance: Appearance) -> Vec<Look> {
    let sizes = |view| TEXT_PERCENT.map(|text_percent| Look { view, appearance, text_percent });
    views().into_iter().flat_map(sizes).collect()
}

/// A folder whose name is the same in every run, so that paths in pictures are.
fn folder_of(look: Look, name: &str) -> PathBuf {
    let look = format!("{:?}", (look.view, look.appearance, look.text_percent));
    let look: String = look.chars().filter(|letter| letter.is_alphanumeric()).collect();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(FOLDER).join(name).join(look);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    folder
}

/// `name`: of the test, whose folder is its own.
fn open(look: Look, name: &str) -> Window {
    let folder = folder_of(look, name);
    let places = Places::below(&folder);
    let settings = Settings { appearance: look.appearance, text_percent: look.text_percent, ..Settings::default() };
    settings.write(&places.settings).expect("settings can be written");
    let file = match look.view {
        View::Opened(demo) => {
            let file = folder.join(demo.file_name());
            project_file::save(&file, &demo.project()).expect("a demo can be written");
            Some(file)
        }
        View::Recovery => {
            let (file, kept) = (folder.join("hatch.overarm.json"), folder.join("hatch.overarm.json.autosave"));
            let mut newer = Demo::FIRST.project();
            project_file::save(&file, &newer).expect("written");
            newer.panel.mass = 17.0;
            project_file::save(&kept, &newer).expect("written");
            Some(file)
        }
        _ => None,
    };
    let start = Start { file, places: Some(places) };
    let draws_errors = look.view == View::After(Command::TolerancesPage);
    let points = WINDOW * 100.0 / f32::from(look.text_percent) + Vec2::splat(2.0 * MARGIN);
    let builder = Harness::builder().with_size(points).with_max_steps(16);
    let mut window = builder.build_ui_state(
        move |ui, app: &mut Option<App>| {
            let app = app.get_or_insert_with(|| {
                let mut app = App::new(ui.ctx(), start.clone());
                // They come when they come: only where they are looked at.
                app.draw_errors(draws_errors);
                app
            });
            app.show(ui);
        },
        None,
    );
    // The first frame gives the size of text, which scales the harness's window once.
    window.set_size(points);
    window.run();
    let screen = window.ctx.content_rect().size();
    assert!((screen - points).length() < 1.0, "{look:?}: a window of {screen} points");
    match look.view {
        View::Opened(_) | View::Recovery => {}
        View::After(command) => {
            key(&mut window, command);
            if draws_errors {
                wait_until(&mut window, "errors are drawn", |window| {
                    app(window).session().errors_drawing() != Drawing::Pending
                });
            }
        }
        View::Rule => {
            let rule = overarm_solver::Rule::ALL[0];
            window.query_all_by_label_contains(rule.title()).last().expect("its row").click_accesskit();
            window.run();
            wait_until(&mut window, "advice has come", |window| {
                window.query_by_label_contains("Looking for what would help").is_none()
            });
        }
        View::Bar => {
            key(&mut window, Command::AllActions);
            window.query_all_by_label_contains("Bar: ").next().expect("bars are in the list").click_accesskit();
            window.run();
        }
        View::Refused => {
            key(&mut window, Command::Open);
            window.get_by_role(Role::TextInput).type_text("/no/such/folder/with a name that is long/hatch.json");
            window.run();
            window.get_by_label("Open file").click_accesskit();
            wait_until(&mut window, "it is refused", is_refused);
        }
        View::Unsaved => {
            nudge(&mut window);
            key(&mut window, Command::Close);
        }
        View::NotMade => {
            key(&mut window, Command::Make);
            window.get_by_role(Role::TextInput).type_text("/proc/no folder can be made here");
            window.run();
            window.get_by_label("Make parts").click_accesskit();
            wait_until(&mut window, "it is refused", is_refused);
        }
    }
    window.run();
    window
}

/// Whether a path was looked at and refused.
fn is_refused(window: &Window) -> bool {
    let asking = app(window).session().asking();
    matches!(asking, Some(Asking::Path(question)) if question.problem.is_some())
}

fn nudge(window: &mut Window) {
    window.get_by_label(&Handle::WallUpper.name()).focus();
    window.run();
    window.key_press(Key::ArrowUp);
    window.run();
}

fn key(window: &mut Window, command: Command) {
    match command.words().shortcut {
        Some(shortcut) => {
            let modifiers = Modifiers { command: shortcut.ctrl, shift: shortcut.shift, ..Default::default() };
            let key = Key::from_name(&shortcut.key.to_string()).expect("keys of commands are on keyboards");
            window.key_press_modifiers(modifiers, key);
        }
        // Commands without a key stand in the list of all actions.
        None => {
            window.key_press(Key::A);
            window.run();
            let label = command.words().label;
            window.query_all_by_label(label).last().expect("every command is in the list").click_accesskit();
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
    /// Its colour, and those of the ground that was painted below it before.
    colour: Color32,
    grounds: Vec<Color32>,
}

impl Text {
    /// Paths are as long as their folders are; what is cut of one is told when it is pointed at.
    fn may_elide(&self) -> bool {
        self.words.contains(FOLDER) || self.words.contains('/')
    }
}

fn texts(shapes: &[ClippedShape]) -> Vec<Text> {
    let mut found = Vec::new();
    let mut below: Vec<(&Shape, Rect)> = Vec::new();
    for clipped in shapes {
        collect(&clipped.shape, clipped.clip_rect, &mut below, &mut found);
    }
    found.retain(|text| !text.words.trim().is_empty() && text.rect.intersects(text.clip));
    found
}

fn collect<'a>(shape: &'a Shape, clip: Rect, below: &mut Vec<(&'a Shape, Rect)>, found: &mut Vec<Text>) {
    match shape {
        Shape::Vec(inner) => inner.iter().for_each(|shape| collect(shape, clip, below, found)),
        Shape::Text(text) => {
            let rect = ink(text);
            let own = text.galley.job.sections.first().map_or(Color32::PLACEHOLDER, |section| section.format.color);
            let own = if own == Color32::PLACEHOLDER { text.fallback_color } else { own };
            let seen = rect.intersect(clip);
            let places = [seen.left_center(), seen.center(), seen.right_center()];
            found.push(Text {
                words: text.galley.job.text.clone(),
                rect,
                clip,
                elided: text.galley.elided,
                turned: text.angle != 0.0,
                colour: text.override_text_color.unwrap_or(own).gamma_multiply(text.opacity_factor),
                grounds: places.map(|place| ground_at(place, below)).to_vec(),
            });
        }
        other => below.push((other, clip)),
    }
}

/// What fills a place so far; lines are no ground.
fn ground_at(place: Pos2, below: &[(&Shape, Rect)]) -> Color32 {
    below.iter().filter(|(_, clip)| clip.contains(place)).fold(Color32::BLACK, |ground, (shape, _)| {
        let fills = match shape {
            Shape::Rect(rect) if rect.rect.contains(place) => vec![rect.fill],
            Shape::Circle(circle) if (circle.center - place).length() < circle.radius => vec![circle.fill],
            Shape::Path(path) if path.closed && is_within(place, &path.points) => vec![path.fill],
            Shape::Mesh(mesh) => mesh
                .triangles()
                .map(|triangle| triangle.map(|index| &mesh.vertices[index as usize]))
                .filter(|triangle| is_within(place, &triangle.map(|corner| corner.pos)))
                .map(|triangle| triangle[0].color)
                .collect(),
            _ => Vec::new(),
        };
        fills.into_iter().fold(ground, Color32::blend)
    })
}

/// Even-odd.
fn is_within(place: Pos2, outline: &[Pos2]) -> bool {
    let edges = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = edges.filter(|(a, b)| {
        (a.y > place.y) != (b.y > place.y) && place.x < a.x + (b.x - a.x) * (place.y - a.y) / (b.y - a.y)
    });
    crossed.count() % 2 == 1
}

/// Contrast after WCAG 2: 1 to 21.
fn contrast(first: Color32, second: Color32) -> f64 {
    let luminance = |colour: Color32| {
        let channel = |value: u8| {
            let value = f64::from(value) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
    };
    let (first, second) = (luminance(first), luminance(second));
    (first.max(second) + 0.05) / (first.min(second) + 0.05)
}

/// Where a text has ink, without the air of its lines.
fn ink(text: &TextShape) -> Rect {
    if text.angle == 0.0 { text.galley.mesh_bounds.translate(text.pos.to_vec2()) } else { text.visual_bounding_rect() }
}

#[test]
fn no_text_is_cut_off_and_none_runs_into_another() {
    let mut wrong = Vec::new();
    for look in every_look(Appearance::Light) {
        let window = open(look, "cut");
        let screen = Rect::from_min_size(egui::Pos2::ZERO, WINDOW * 100.0 / f32::from(look.text_percent))
            .translate(Vec2::splat(MARGIN));
        let drawing = window.query_all_by_label("Side view").next().map_or(Rect::NOTHING, |node| node.rect());
        // A field shows as much of a long path as it has room for, and scrolls.
        let fields: Vec<Rect> = window.query_all(By::new().role(Role::TextInput)).map(|node| node.rect()).collect();
        let texts = texts(&window.output().shapes);
        assert!(texts.len() > 10, "{look:?} shows {} texts", texts.len());
        for (index, text) in texts.iter().enumerate() {
            let place = text.clip.intersect(screen).expand(TRACE);
            let in_drawing = drawing.expand(1.0).contains_rect(text.clip.intersect(screen));
            let in_field = fields.iter().any(|field| field.expand(1.0).contains_rect(text.clip));
            // A list that is scrolled shows part of a line at its edge; nothing may be cut sideways.
            let sideways = text.rect.left() < place.left() || text.rect.right() > place.right();
            let upright = text.rect.top() < place.top() || text.rect.bottom() > place.bottom();
            let scrolls = !in_drawing && text.clip.width() < 0.75 * screen.width();
            if !in_field && sideways {
                wrong.push(format!("{look:?}: “{}” is cut off sideways: {} of {}", text.words, text.rect, text.clip));
            }
            if !in_drawing && upright && !scrolls {
                wrong.push(format!("{look:?}: “{}” is cut off: {} of {}", text.words, text.rect, text.clip));
            }
            if text.elided && !text.may_elide() {
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
fn every_text_stands_out_from_its_ground() {
    let mut weak = Vec::new();
    for (view, appearance) in views().into_iter().flat_map(|view| [(view, Appearance::Light), (view, Appearance::Dark)])
    {
        let look = Look { view, appearance, text_percent: 100 };
        let window = open(look, "contrast");
        // WCAG 2 asks nothing of what cannot be used now.
        let off = window.query_all(By::new().predicate(|node: &AccessKitNode<'_>| node.is_disabled()));
        let off: Vec<Rect> = off.map(|node| node.rect()).collect();
        for text in texts(&window.output().shapes) {
            if off.iter().any(|off| off.contains(text.rect.center())) {
                continue;
            }
            for ground in &text.grounds {
                let found = contrast(ground.blend(text.colour), *ground);
                // 4.5 : 1 is what WCAG 2 asks of running text.
                if found < 4.5 {
                    weak.push(format!("{look:?}: “{}” {:?} on {ground:?}: {found:.2}", text.words, text.colour));
                }
            }
        }
    }
    weak.dedup();
    assert!(weak.is_empty(), "{} texts:\n{}", weak.len(), weak.join("\n"));
}

/// Triangles with their colours, as they go to whatever draws them, and every text with its place. Not
/// where letters lie in the font's texture: that depends on what was lettered before.
fn picture(window: &Window) -> String {
    use std::fmt::Write;
    let shapes = window.output().shapes.clone();
    let mut picture = String::new();
    for text in texts(&shapes) {
        let _ = writeln!(picture, "{} {} {}", text.words, text.rect, text.clip);
    }
    for drawn in window.ctx.tessellate(shapes, window.output().pixels_per_point) {
        let _ = writeln!(picture, "{}", drawn.clip_rect);
        if let egui::epaint::Primitive::Mesh(mesh) = drawn.primitive {
            let corners: Vec<_> = mesh.vertices.iter().map(|corner| (corner.pos, corner.color)).collect();
            let _ = writeln!(picture, "{:?} {corners:?}", mesh.indices);
        }
    }
    picture
}

fn comes_twice(appearance: Appearance, name: &str) {
    for look in every_look(appearance) {
        let [one, other] = [(); 2].map(|()| picture(&open(look, name)));
        assert!(one == other, "{look:?}: two pictures differ");
    }
}

#[test]
fn the_same_picture_comes_twice_in_light() {
    comes_twice(Appearance::Light, "light");
}

#[test]
fn the_same_picture_comes_twice_in_dark() {
    comes_twice(Appearance::Dark, "dark");
}

#[test]
fn larger_text_is_larger_and_the_rest_gives_way() {
    let looks = TEXT_PERCENT.map(|text_percent| Look {
        view: View::Opened(Demo::FIRST),
        appearance: Appearance::Light,
        text_percent,
    });
    let seen = looks.map(|look| {
        let window = open(look, "larger");
        let pixels = window.ctx.pixels_per_point();
        let undo = texts(&window.output().shapes).into_iter().find(|text| text.words == "Undo").expect("it is there");
        let rules = window.query_all(By::new().label_contains("rules")).next().map(|node| node.rect().width());
        (undo.rect.height() * pixels, window.get_by_label("Side view").rect().size() * pixels, rules)
    });
    for (look, (height, drawing, _)) in looks.iter().zip(&seen).skip(1) {
        let wanted = seen[0].0 * f32::from(look.text_percent) / 100.0;
        // Letters are fitted to whole pixels.
        assert!((height - wanted).abs() <= 0.1 * wanted, "{look:?}: letters {height} high, {wanted} wanted");
        assert!(drawing.x < seen[0].1.x && drawing.x > 200.0 && drawing.y > 150.0, "{look:?}: a drawing of {drawing}");
    }
}

#[test]
fn what_is_pressed_is_large_enough() {
    let mut small = Vec::new();
    for view in views() {
        let look = Look { view, appearance: Appearance::Light, text_percent: 100 };
        let window = open(look, "press");
        let pressed = window.query_all(By::new().predicate(|node| {
            matches!(node.role(), Role::Button | Role::CheckBox | Role::RadioButton | Role::ComboBox | Role::Link)
        }));
        for node in pressed {
            let rect = node.rect();
            // A handle is as large as the drawing has room for: where two are near, it is its own check.
            let name = node.accesskit_node().label().unwrap_or_default();
            let project = app(&window).session().project();
            let handles = [Handle::all(project), Handle::in_sketch(project)].concat();
            if handles.iter().any(|handle| handle.name() == name) {
                continue;
            }
            // A row of a list is as high as its rows are; what stands alone is a whole target.
            if rect.height() < 27.5 && rect.width() > 0.0 {
                small.push(format!("{view:?}: {:?} “{name}” {rect}", node.accesskit_node().role()));
            }
        }
    }
    assert!(small.is_empty(), "{} targets:\n{}", small.len(), small.join("\n"));
}
