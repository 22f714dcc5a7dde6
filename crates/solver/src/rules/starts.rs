//! `starts`: the strap's worst pull from hung, or from the end of the kick, stays under its limit.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::project::{Drive, Project};
use crate::start::Start;
use crate::units::{number, show_length};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: &str| RuleFinding::unknown(Rule::Starts).saying(text);
    let Some(drive) = &project.drive else {
        return unknown("No drive is given: add drive with its anchor, drum and strap.");
    };
    let forces = match &analysis.forces {
        Ok(forces) => forces,
        Err(missing) => return unknown(&missing.sentence()),
    };
    let Some(start) = &forces.start else {
        return RuleFinding::failing(Rule::Starts, "N")
            .at(0.0, "anchor", &[analysis.pose_at(0.0).room_from_panel * drive.anchor])
            .saying("The strap's end lies in the drum when hung: it cannot pull. Move the drum or the anchor.");
    };
    let anchor = analysis.pose_at(0.0).room_from_panel * drive.anchor;
    let kicked = drive.kick.as_ref().is_some_and(|kick| kick.stroke.is_some_and(|stroke| stroke > 0.0));
    if start.at_hung.strap_rate <= 0.0 && !kicked {
        let push = push_text(project, start, None);
        return RuleFinding::failing(Rule::Starts, "N").at(0.0, "anchor at hung", &[anchor]).saying(format!(
            "When hung the strap does not pull the panel off the wall: it does not start without a push.{push}"
        ));
    }
    let Some((worst, s)) = start.worst else {
        return RuleFinding::failing(Rule::Starts, "N")
            .at(0.0, "anchor", &[anchor])
            .saying("The strap pulls nowhere on the travel. Move the drum or the anchor.");
    };
    let Some(limit) = drive.strap_limit else {
        return unknown(&format!(
            "The strap must pull {} N at {} of the travel: give what the strap may carry (drive.strap_limit).",
            number(worst, 0),
            percent(s)
        ));
    };
    if let Some(short) = kick_falls_short(project, drive, start, kicked) {
        return short.at(0.0, "kick", &[anchor]);
    }
    let place = analysis.pose_at(s).room_from_panel * drive.anchor;
    let from = if kicked { ", once the kick has ended," } else { "" };
    let touchy = format!("{}{}", touchy_text(start), kick_unknown(project, drive, start, kicked));
    let text = if worst > limit {
        let push = push_text(project, start, Some(limit));
        format!(
            "The strap must pull {} N at {} of the travel{from} and may carry {} N.{push}{touchy}",
            number(worst, 0),
            percent(s),
            number(limit, 0)
        )
    } else {
        format!(
            "The strap pulls {} N at hung and {} N at most{from} at {} of the travel; it may carry {} N.{touchy}",
            number(start.at_hung.tension.unwrap_or(worst), 0),
            number(worst, 0),
            percent(s),
            number(limit, 0)
        )
    };
    RuleFinding::with_margin(Rule::Starts, limit - worst, "N").at(s, "anchor", &[place]).saying(text)
}

/// A kick that is too weak or too short for what it must do.
fn kick_falls_short(project: &Project, drive: &Drive, start: &Start, kicked: bool) -> Option<RuleFinding> {
    let kick = drive.kick.as_ref().filter(|_| kicked)?;
    let push = start.push?;
    let limit = kick.limit.filter(|limit| *limit < push.force)?;
    let stroke = show_length(push.stroke, project.units());
    Some(RuleFinding::with_margin(Rule::Starts, limit - push.force, "N").saying(format!(
        "The kick may give {} N, but {} N over {stroke} are needed to keep the strap under its limit.",
        number(limit, 1),
        number(push.force, 1)
    )))
}

/// What of a kick is not given, so that nobody can say whether it helps.
fn kick_unknown(project: &Project, drive: &Drive, start: &Start, kicked: bool) -> String {
    let Some(kick) = &drive.kick else { return String::new() };
    if !kicked {
        return " The kick's stroke is not given, so it is not counted on (drive.kick.stroke).".into();
    }
    match start.push.filter(|push| push.force > 0.0 && kick.limit.is_none()) {
        Some(push) => format!(
            " What the kick can give is not given: {} N over {} are needed of it (drive.kick.limit).",
            number(push.force, 1),
            show_length(push.stroke, project.units())
        ),
        None => String::new(),
    }
}

fn push_text(project: &Project, start: &Start, limit: Option<f64>) -> String {
    match (start.push, limit) {
        (Some(push), _) if push.force > 0.0 => format!(
            " A push of {} N off the wall over the first {} at {} up the panel's back would do; or move drum and anchor.",
            number(push.force, 1),
            show_length(push.stroke, project.units()),
            show_length(push.at.y, project.units())
        ),
        _ => " Move the drum away from the wall or the anchor towards it.".into(),
    }
}

/// How much two millimetres change, where that is much.
fn touchy_text(start: &Start) -> String {
    /// Told where a coordinate moved by 2 mm changes the pull by more than this share.
    const TOUCHY: f64 = 0.25;
    let Some(tension) = start.at_hung.tension.filter(|tension| *tension > 0.0) else { return String::new() };
    if start.moved.iter().any(|moved| moved.tension.is_none()) {
        return " Touchy: with anchor or drum 2 mm elsewhere the strap would not start it at all.".into();
    }
    let most = start.moved.iter().filter_map(|moved| moved.tension).fold(tension, f64::max);
    if most > (1.0 + TOUCHY) * tension {
        format!(" Touchy: {} N at hung with anchor or drum 2 mm elsewhere.", number(most, 0))
    } else {
        String::new()
    }
}
