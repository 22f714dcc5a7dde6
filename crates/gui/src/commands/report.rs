//! The rules as people read them: a verdict, the worst first, what was not checked in a few lines.

use overarm_solver::{
    Analysis, Findings, Project, RuleFinding, Seat, pinches, show_fine, show_length, show_signed_margin,
};

/// Widest line, letters; longer sentences are broken.
const WIDTH: usize = 96;
const INDENT: &str = "         ";

/// The report on a project.
pub fn report(project: &Project, analysis: &Analysis, coloured: bool) -> String {
    let rules = &analysis.rules;
    let of = |grade: Grade| rules.iter().filter(move |rule| Grade::of(rule) == grade);
    let (failing, near, held) = (of(Grade::Fails).count(), of(Grade::Near).count(), of(Grade::Holds).count());
    let checked = failing + near + held;
    let verdict = match (failing, near) {
        (0, 0) => format!("holds: no rule fails, {checked} checked, {} not checked", rules.len() - checked),
        (0, near) => {
            format!(
                "holds: no rule fails, {near} near its limit, {checked} checked, {} not checked",
                rules.len() - checked
            )
        }
        (failing, _) => format!("fails: {failing} of {checked} rules checked, {} not checked", rules.len() - checked),
    };
    let grade = if failing > 0 {
        Grade::Fails
    } else if near > 0 {
        Grade::Near
    } else {
        Grade::Holds
    };
    let mut text = format!("{}\n{}\n\n", project.title(), grade.paint(&verdict, coloured));
    let widest = rules.iter().map(|rule| rule.rule.title().chars().count()).max().unwrap_or(0);
    for grade in [Grade::Fails, Grade::Near, Grade::Holds] {
        for rule in of(grade) {
            let margin = rule.margin.map_or_else(String::new, |m| show_signed_margin(m, rule.unit, project.units()));
            let word = grade.paint(&format!("{:<7}", grade.word()), coloured);
            let line = format!("{word}  {:<widest$}  {margin:>12}", rule.rule.title());
            text.push_str(line.trim_end());
            text.push('\n');
            push_wrapped(&mut text, &rule.text);
        }
    }
    push_not_checked(&mut text, rules);
    push_figures(&mut text, project, analysis);
    text
}

/// What is to be known beside the rules: bars, seats, kick, gaps that catch hands, defaults.
fn push_figures(text: &mut String, project: &Project, analysis: &Analysis) {
    let units = project.units();
    let mut section = |title: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            text.push_str(&format!("\n{title}\n"));
            lines.iter().for_each(|line| push_wrapped(text, line));
        }
    };
    let bars = analysis.strength.iter().flat_map(|strength| &strength.bars).filter_map(|bar| {
        let worst = bar.worst?;
        let when =
            if worst.stalled { "motor stalled".to_owned() } else { format!("{:.0} % of the travel", 100.0 * worst.s) };
        let safety = worst.safety.map_or_else(String::new, |safety| format!(", safety {safety:.1}"));
        let along = show_length(worst.along, units);
        let name = bar.bar.words();
        Some(format!("{name}: {:.0} MPa at {along}, {when}{safety} ({}).", worst.stress, bar.material))
    });
    section("Bars at their worst section", bars.collect());
    if let Some(Ok(seat)) = project.joints.as_ref().map(Seat::wanted) {
        let sizes = [seat.go(), seat.no_go()].map(|size| format!("{size:.3} mm"));
        section(
            "Seats",
            vec![format!(
                "{}: {} seats, bore {} (go) to {} (no go); interference {:.0} to {:.0} µm.",
                seat.bearing.name,
                seat.count(),
                sizes[0],
                sizes[1],
                1e3 * seat.least,
                1e3 * seat.most
            )],
        );
    }
    section("Wobble by hand, from the play of the hinges alone", wobble(project, analysis));
    let kick = analysis.forces.as_ref().ok().and_then(|forces| forces.kick.as_ref());
    section("Kick off the wall", kick.map(|kick| kick.sentence(units)).into_iter().collect());
    section("Mind hands and fingers", pinches(project, analysis).iter().map(|pinch| pinch.sentence(units)).collect());
    section("Taken where the project does not say", Findings::defaults(project));
}

/// How far the panel can be moved by hand, where errors were worked out.
fn wobble(project: &Project, analysis: &Analysis) -> Vec<String> {
    let Some(errors) = &analysis.errors else { return Vec::new() };
    let Some(wobble) = errors.wobble else {
        return vec!["Not told: the play of a bearing is not given (joints.radial_play).".to_owned()];
    };
    let show = |mm: f64| show_fine(mm, project.units());
    let sideways = match wobble.sideways {
        Some(sideways) => format!("{} along the wall", show(sideways)),
        None => "along the wall not told, for the span of its bearings is not given (joints.bearing_span)".to_owned(),
    };
    vec![format!(
        "A corner moves by {} either way hung, {} at most, at {:.0} % of the travel; {sideways}.",
        show(wobble.hung),
        show(wobble.most),
        100.0 * wobble.most_s
    )]
}

/// How a rule stands, worst first.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Grade {
    Fails,
    Near,
    Holds,
    NotChecked,
}

impl Grade {
    fn of(rule: &RuleFinding) -> Self {
        match rule.holds {
            Some(false) => Self::Fails,
            Some(true) if rule.near => Self::Near,
            Some(true) => Self::Holds,
            None => Self::NotChecked,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::Near => "near",
            Self::Holds => "holds",
            Self::NotChecked => "open",
        }
    }

    /// Colour never says more than the word does.
    fn paint(self, text: &str, coloured: bool) -> String {
        let code = match self {
            Self::Fails => "31",
            Self::Near => "33",
            Self::Holds => "32",
            Self::NotChecked => return text.to_owned(),
        };
        if coloured { format!("\u{1b}[{code}m{text}\u{1b}[0m") } else { text.to_owned() }
    }
}

fn push_wrapped(text: &mut String, sentence: &str) {
    let mut column = 0;
    for word in sentence.split_whitespace() {
        let length = word.chars().count();
        if column == 0 || column + 1 + length > WIDTH {
            text.push_str(if column == 0 { INDENT } else { "\n         " });
            column = INDENT.len();
        } else {
            text.push(' ');
            column += 1;
        }
        text.push_str(word);
        column += length;
    }
    if column > 0 {
        text.push('\n');
    }
}

/// Folded: what is missing for each stands in the JSON, not as a wall of text here.
fn push_not_checked(text: &mut String, rules: &[RuleFinding]) {
    let titles: Vec<_> = rules.iter().filter(|rule| rule.holds.is_none()).map(|rule| rule.rule.title()).collect();
    if !titles.is_empty() {
        text.push_str("\nNot checked\n");
        push_wrapped(text, &format!("{}.", titles.join(", ")));
        push_wrapped(text, "What each of them is missing: overarm check --json.");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::{Options, analyse};

    #[test]
    fn worst_first_and_without_colour_unless_asked() {
        let mut project = crate::session::demo();
        project.room.clearance = Some(5000.0);
        let analysis = analyse(&project, &Options { swept: false, ..Options::default() });
        let text = report(&project, &analysis, false);
        let mut lines = text.lines();
        assert_eq!(lines.next(), Some(project.title()));
        assert!(lines.next().unwrap().starts_with("fails: "), "{text}");
        let words: Vec<_> = text
            .lines()
            .skip(3)
            .take_while(|line| !line.is_empty())
            .filter(|line| !line.starts_with(' '))
            .map(|line| line.split_whitespace().next().unwrap())
            .collect();
        let order = |word: &str| ["fails", "near", "holds"].iter().position(|known| *known == word).unwrap();
        assert!(words.contains(&"fails") && words.contains(&"holds"), "{text}");
        assert!(words.is_sorted_by_key(|word| order(word)), "{text}");
        assert!(text.contains("−") || text.contains("-"), "a failing margin has its sign");
        assert!(!text.contains('\u{1b}'));
        assert!(report(&project, &analysis, true).contains("\u{1b}[31m"));
    }

    #[test]
    fn every_rule_is_there_once() {
        let project = crate::session::demo();
        let analysis = analyse(&project, &Options { swept: false, ..Options::default() });
        let text = report(&project, &analysis, false).replace(['\n', ' '], "");
        for rule in &analysis.rules {
            assert!(text.contains(&rule.rule.title().replace(' ', "")), "{}", rule.rule.name());
        }
    }

    #[test]
    fn figures_stand_below_the_rules() {
        let project = crate::session::demo();
        let analysis = analyse(&project, &Options { swept: false, ..Options::default() });
        let text = report(&project, &analysis, false);
        for title in ["Bars at their worst section", "Seats", "Mind hands and fingers", "Taken where the project"] {
            assert!(text.contains(title), "{title}: {text}");
        }
        assert!(text.contains("upper arm: ") && text.contains("(no go)") && text.contains("catches a hand"), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH + INDENT.len()), "{text}");
    }
}
