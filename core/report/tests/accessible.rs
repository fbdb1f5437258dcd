//! Every figure is well-formed, named, described, and its marks say what they stand for.

mod demo;

use roxmltree::{Document, Node};
use swardbook_report::{Figure, Theme};

/// Reads a figure as any XML reader would, and checks what holds for each.
fn check(name: &str, figure: &Figure) {
    let document = Document::parse(&figure.svg).expect(name);
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg", "{name}");
    assert_eq!(root.tag_name().namespace(), Some("http://www.w3.org/2000/svg"), "{name}");
    assert_eq!(root.attribute("role"), Some("img"), "{name}");
    let named_by = |attribute: &str| {
        let id = root.attribute(attribute).expect("the root names its title and description");
        let named = document.descendants().find(|node| node.attribute("id") == Some(id));
        named.and_then(|node| node.text()).unwrap_or_default().to_owned()
    };
    assert_eq!(named_by("aria-labelledby"), figure.title, "{name}");
    assert_eq!(named_by("aria-describedby"), figure.description, "{name}");
    assert!(!figure.description.is_empty(), "{name}");
    let marks: Vec<Node<'_, '_>> =
        document.descendants().filter(|node| node.has_attribute("data-mark")).collect();
    assert_eq!(root.attribute("data-marks"), Some(marks.len().to_string().as_str()), "{name}");
    let mut reached = vec![false; figure.table.rows.len()];
    for (number, mark) in marks.iter().enumerate() {
        assert_eq!(mark.attribute("data-mark"), Some(number.to_string().as_str()), "{name}");
        assert!(
            mark.attribute("data-readout").is_some_and(|text| text.len() > 3),
            "{name} {mark:?}"
        );
        for row in mark.attribute("data-row").unwrap_or_default().split_whitespace() {
            reached[row.parse::<usize>().expect("a row is a number")] = true;
        }
    }
    assert!(reached.iter().all(|row| *row), "{name}: each row has its mark: {reached:?}");
    for row in &figure.table.rows {
        assert_eq!(row.len(), figure.table.headings.len(), "{name} {row:?}");
    }
}

#[test]
fn every_figure_in_every_theme_and_width() {
    for theme in demo::THEMES {
        for width in demo::WIDTHS {
            for (name, figure) in demo::all(&demo::look(width, theme)) {
                check(&format!("{name} {width} {theme:?}"), &figure);
            }
        }
    }
}

#[test]
fn a_page_gives_the_colours_and_a_file_brings_them() {
    for (name, figure) in demo::all(&demo::look(900, Theme::FollowPage)) {
        assert!(figure.svg.contains("var(--text)") || figure.svg.contains("var(--ink)"), "{name}");
        assert!(!figure.svg.contains("=\"#"), "{name}: no colour of its own");
    }
    for theme in &demo::THEMES[1..] {
        for (name, figure) in demo::all(&demo::look(900, *theme)) {
            assert!(!figure.svg.contains("var("), "{name} {theme:?}: nothing from a page");
        }
    }
}

#[test]
fn hostile_words_stay_words() {
    let hostile = "</desc><script>alert(1)</script> & \"quoted\" 'x' \u{1}\u{fffe}";
    let mut season = demo::season();
    season.title = hostile.to_owned();
    for event in &mut season.events {
        event.label = hostile.to_owned();
        event.id = hostile.to_owned();
    }
    let mut plan = demo::plan();
    plan.zones[0].name = hostile.to_owned();
    let mut look = demo::look(900, Theme::FollowPage);
    look.name = "\"><script>".to_owned();
    for svg in [
        swardbook_report::season::draw(&season, &look).unwrap().svg,
        swardbook_report::plan_drawing::draw(&plan, &look).unwrap().svg,
    ] {
        let document = Document::parse(&svg).expect("still well-formed");
        assert!(
            !document.descendants().any(|node| node.tag_name().name() == "script"),
            "no element came out of a word"
        );
    }
}

/// Shape alone tells before from after and control: each role is drawn with a path of its own.
#[test]
fn shapes_differ_where_colours_do() {
    let figure =
        swardbook_report::intervals::draw(&demo::intervals(), &demo::look(900, Theme::FollowPage))
            .unwrap();
    let document = Document::parse(&figure.svg).unwrap();
    let fills = |ink: &str| {
        let mut fills: Vec<&str> = document
            .descendants()
            .filter(|node| {
                node.attribute("stroke") == Some(ink) && node.attribute("fill").is_some()
            })
            .filter_map(|node| node.attribute("fill"))
            .filter(|fill| *fill != "none")
            .collect();
        fills.dedup();
        fills
    };
    assert_eq!(fills("var(--before)"), ["var(--paper)"], "before is open");
    assert_eq!(fills("var(--after)"), ["var(--after)"], "after is filled");
}
