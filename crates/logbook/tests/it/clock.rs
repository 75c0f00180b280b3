//! Moments.

use logbook::Moment;

#[test]
fn moments_are_kept_with_the_offset_of_their_place_and_compared_by_what_they_are() {
    let parse = |text: &str| Moment::parse(text).unwrap_or_else(|| panic!("{text}"));
    let (berlin, london) = (parse("2026-05-01T18:20:00.000+02:00"), parse("2026-05-01T17:30:00.000+01:00"));
    assert!(berlin < london, "16:20 and 16:30 by Greenwich");
    assert_eq!((berlin.as_str(), berlin.day(), berlin.year()), ("2026-05-01T18:20:00.000+02:00", "2026-05-01", 2026));
    assert_eq!(berlin.minute(), "2026-05-01 18:20");
    assert!((parse("2030-05-02T04:00:00Z").years_since(&parse("2026-05-01T04:00:00Z")) - 4.0).abs() < 0.01);
    // New year is where it is kept.
    assert_eq!(parse("2026-01-01T00:30:00+01:00").year(), 2026);
    for wrong in [
        "",
        "2026-05-01",
        "2026-05-01T18:20:00",
        "01.05.2026 18:20",
        "2026-13-01T00:00:00Z",
        "2026-05-01T18:20:00+02:00\n",
        &"2".repeat(9999),
    ] {
        assert!(Moment::parse(wrong).is_none(), "{wrong}");
    }
    let now = Moment::now();
    assert_eq!(Moment::parse(now.as_str()).as_ref(), Some(&now), "what is written is read as it was");
}

#[test]
fn moments_are_taken_as_people_write_them() {
    let now = Moment::now();
    let typed = |text: &str| Moment::from_typed(text, &now).map(|moment| moment.minute());
    for text in ["2026-05-01 18:20", "2026-05-01T18:20", " 2026-05-01 18:20:30 ", "2026-05-01T18:20:00+02:00"] {
        assert_eq!(typed(text).as_deref(), Some("2026-05-01 18:20"), "{text}");
    }
    assert_eq!(typed("2026-05-01").as_deref(), Some("2026-05-01 00:00"));
    assert_eq!(typed("8:05"), Some(format!("{} 08:05", now.day())));
    for wrong in ["", "yesterday", "25:00", "2026-02-30", "2026-05-01 18", "1.5.2026"] {
        assert_eq!(typed(wrong), None, "{wrong}");
    }
}
