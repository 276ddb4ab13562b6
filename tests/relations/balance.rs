//! Windows of balance, and what the dilution fits say of them.

use super::table;
use costrel::relation::balance_windows::{self, Confirmation, Figure, Moment, WINDOWS};
use costrel::relation::dilution_fit;

#[test]
fn windows_are_the_published_rows_and_no_others() {
    let (mut used, mut implied) = (0, 0);
    for row in table("balance_ranges.csv") {
        let (family, parameter) = (row.text("family"), row.text("parameter"));
        if row.text("how") == "computed from published formula" {
            // Cross-checks of the quoted ranges by the fits at the ends of the start range.
            let fit = if family == "stirred" { dilution_fit::stirred } else { dilution_fit::shaken };
            let start = balance_windows::find(family, Moment::Start, Figure::Strength).unwrap();
            // The stirred start range ends above the fit's, so its upper end is taken there.
            let ends = [start.low, start.high].map(|q| (q / 100.0).min(dilution_fit::HIGHEST));
            for (column, q, full) in [("low", ends[0], start.low / 100.0), ("high", ends[1], start.high / 100.0)] {
                let dilution = fit(q).unwrap();
                let percent =
                    if parameter.starts_with("dilution") { 100.0 * dilution } else { 100.0 * full / (1.0 + dilution) };
                row.agrees(parameter, row.number(column), percent, 0.8);
            }
            implied += 1;
            continue;
        }
        let (moment, figure) = match parameter {
            "start ABV" => (Moment::Start, Figure::Strength),
            "start sugar" => (Moment::Start, Figure::Sugar),
            "start acid" => (Moment::Start, Figure::Acid),
            "dilution" => (Moment::Process, Figure::Dilution),
            "final ABV" => (Moment::Final, Figure::Strength),
            "final sugar" => (Moment::Final, Figure::Sugar),
            "final acid" => (Moment::Final, Figure::Acid),
            other => panic!("{}: unknown parameter {other}", row.at),
        };
        let window = balance_windows::find(family, moment, figure);
        let window = window.unwrap_or_else(|| panic!("{}: no window for {family}, {parameter}", row.at));
        row.agrees("low", row.number("low"), window.low, 0.0);
        row.agrees("high", row.number("high"), window.high, 0.0);
        let confirmed = row.text("confirmation").starts_with("confirmed");
        assert_eq!(confirmed, window.confirmation == Confirmation::Confirmed, "{}", row.at);
        assert!(confirmed || row.text("how") == "from memory", "{}", row.at);
        used += 1;
    }
    assert_eq!(used, WINDOWS.len(), "a window without a row");
    assert!(implied >= 2, "only {implied} cross-checks");
    assert!(WINDOWS.iter().all(|window| window.low <= window.high && !window.figure.unit().is_empty()));
    assert_eq!(balance_windows::find("punch", Moment::Final, Figure::Acid), None);
}
