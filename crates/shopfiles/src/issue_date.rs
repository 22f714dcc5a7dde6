//! The date that sheets carry: the project's own, else one that whoever starts the program gives. There
//! is no clock here, so that the same project gives the same bytes.

use overarm_solver::Project;
use serde_json::{Value, json};

/// Where a project gives it: `title_block.date`.
const TITLE_BLOCK: &str = "title_block";
const DATE: &str = "date";
const SECONDS_OF_A_DAY: i64 = 86_400;

/// The day of a number of seconds after the start of 1970, in universal time, as `2026-11-25`: what the
/// variable `SOURCE_DATE_EPOCH` means. `None` where it is no number, less than 0, or beyond the year 9999.
#[must_use]
pub fn of_epoch(seconds: &str) -> Option<String> {
    let days = seconds.trim().parse::<i64>().ok().filter(|seconds| *seconds >= 0)?.div_euclid(SECONDS_OF_A_DAY);
    // Days of eras of 400 years that start with a March (the usual conversion of a count of days).
    let shifted = days.checked_add(719_468)?;
    let (era, day_of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + 400 * era + i64::from(month <= 2);
    (1..=9999).contains(&year).then(|| format!("{year:04}-{month:02}-{day:02}"))
}

/// The variable of the environment that a date of issue may be given by.
pub const VARIABLE: &str = "SOURCE_DATE_EPOCH";

/// The date that this value of [`VARIABLE`] asks for; `None` where it is not set, or empty.
///
/// # Errors
/// A sentence where the value is no such number: a date that was asked for is never left away without a word (the
/// variable's specification at reproducible-builds.org: a malformed value should end the work with an error).
pub fn asked_for(value: Option<&str>) -> Result<Option<String>, String> {
    match value {
        None | Some("") => Ok(None),
        Some(seconds) => of_epoch(seconds).map(Some).ok_or_else(|| {
            format!(
                "the variable {VARIABLE} is \"{seconds}\", which is no date: it takes whole seconds since the start of \
                 1970 (date +%s prints them); correct it, or unset it and give title_block.date in the project"
            )
        }),
    }
}

/// Year, month and day of a date as [`of_epoch`] writes it; `None` of any other text.
#[must_use]
pub fn parts_of(date: &str) -> Option<(u16, u8, u8)> {
    let [year, month, day] = date.split('-').collect::<Vec<_>>().try_into().ok()?;
    if (year.len(), month.len(), day.len()) != (4, 2, 2) {
        return None;
    }
    let (year, month, day) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    ((1..=12).contains(&month) && (1..=31).contains(&day)).then_some((year, month, day))
}

/// The project with this date of issue where it gives none itself.
#[must_use]
pub fn dated(project: &Project, date: Option<&str>) -> Project {
    let mut dated = project.clone();
    let given = project.more.get(TITLE_BLOCK).and_then(|block| block.get(DATE)).and_then(Value::as_str);
    if let (None | Some(""), Some(date)) = (given, date) {
        let block = dated.more.entry(TITLE_BLOCK.to_owned()).or_insert_with(|| json!({}));
        if let Some(block) = block.as_object_mut() {
            block.insert(DATE.to_owned(), json!(date));
        }
    }
    dated
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_seconds() {
        // By `date -u -d @SECONDS +%F`.
        for (seconds, day) in [
            ("0", "1970-01-01"),
            ("951782400", "2000-02-29"),
            ("951868800", "2000-03-01"),
            ("1709164799", "2024-02-28"),
            (" 1764028800\n", "2025-11-25"),
            ("4107542400", "2100-03-01"),
        ] {
            assert_eq!(of_epoch(seconds).as_deref(), Some(day), "{seconds}");
        }
        for nonsense in ["", "today", "1.5", "9223372036854775807", "-99999999999999", "-1"] {
            assert_eq!(of_epoch(nonsense), None, "{nonsense}");
        }
    }

    #[test]
    fn a_value_that_is_no_date_is_refused_by_name() {
        assert_eq!(asked_for(None), Ok(None));
        assert_eq!(asked_for(Some("")), Ok(None));
        assert_eq!(asked_for(Some("1764028800")), Ok(Some("2025-11-25".to_owned())));
        for nonsense in ["junk", "2025-11-25", "1764028800.5", "99999999999999999999"] {
            let refused = asked_for(Some(nonsense)).unwrap_err();
            assert!(refused.contains("SOURCE_DATE_EPOCH") && refused.contains(nonsense), "{refused}");
        }
    }

    #[test]
    fn a_date_is_year_month_and_day() {
        assert_eq!(parts_of("2026-11-25"), Some((2026, 11, 25)));
        for text in ["", "25.11.2026", "2026-13-01", "2026-1-1", "2026-11-25T12:00"] {
            assert_eq!(parts_of(text), None, "{text}");
        }
    }

    #[test]
    fn the_projects_own_date_stands() {
        let mut project = crate::parts_dxf::tests::demo();
        let date = |project: &Project| project.more["title_block"]["date"].as_str().unwrap().to_owned();
        assert_eq!(date(&dated(&project, Some("2026-11-25"))), "2026-11-25");
        assert_eq!(dated(&project, None), project);
        project.more.insert("title_block".into(), json!({"date": "in May", "owner": "the parish"}));
        assert_eq!(date(&dated(&project, Some("2026-11-25"))), "in May");
    }
}
