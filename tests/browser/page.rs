//! The page of an example packet, opened from the disk as a person would: marks, addresses, search and tick boxes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod browser;

use std::time::Duration;

use browser::Page;
use fantoccini::actions::{MOUSE_BUTTON_LEFT, PointerAction};
use serde_json::json;

/// The example whose committed packet is opened. Another test sees to it that it equals a fresh build.
const EXAMPLE: &str = "four-cylinder";

const DOWN: PointerAction = PointerAction::Down { button: MOUSE_BUTTON_LEFT };
const UP: PointerAction = PointerAction::Up { button: MOUSE_BUTTON_LEFT };

/// Scale and offsets of the wiring drawing in its window: 1, 0, 0 where all of it is seen.
async fn view(page: &Page) -> [f64; 3] {
    let script = "const sheet = document.getElementById('sheet-wiring-1');
        return [sheet.querySelector('svg').getBoundingClientRect().width / sheet.clientWidth,
            sheet.scrollLeft, sheet.scrollTop]";
    let numbers = page.run(script).await;
    [0, 1, 2].map(|i| numbers[i].as_f64().unwrap())
}

/// Scrolls the wiring drawing into the middle of the page; says where its middle then is, in pixels.
async fn wiring_in_view(page: &Page) -> (f64, f64) {
    let script = "const sheet = document.getElementById('sheet-wiring-1');
        sheet.scrollIntoView({block: 'center'});
        const r = sheet.getBoundingClientRect();
        return [Math.round(r.left + r.width / 2), Math.round(r.top + r.height / 2)]";
    let at = page.run(script).await;
    (at[0].as_f64().unwrap(), at[1].as_f64().unwrap())
}

/// Where a spot of the window lies on the sheet, in its millimetres.
async fn spot(page: &Page, x: f64, y: f64) -> [f64; 2] {
    let script = "const m = document.querySelector('#sheet-wiring-1 svg').getScreenCTM().inverse();
        const p = new DOMPoint(arguments[0], arguments[1]).matrixTransform(m);
        return [p.x, p.y]";
    let at = page.run_with(script, vec![json!(x), json!(y)]).await;
    [0, 1].map(|i| at[i].as_f64().unwrap())
}

/// Mark and place of the first conductor of the wiring drawing that is in the cut list too.
async fn some_conductor(page: &Page) -> String {
    let script = "return [...document.querySelectorAll('#section-wiring g.conductor[data-conductor]')]
        .map((g) => g.getAttribute('data-conductor'))
        .find((m) => document.querySelector(`#section-cut-list tr[data-conductor~=\"${CSS.escape(m)}\"]`))";
    page.run(script).await.as_str().expect("a conductor that is drawn and listed").to_owned()
}

/// Marked places: how many in each section.
async fn marked(page: &Page, mark: &str) -> (u64, u64, u64) {
    let script = "const count = (section) => document.querySelectorAll(
            `${section} .is-marked[data-conductor~=\"${CSS.escape(arguments[0])}\"]`).length;
        return [count('#section-wiring'), count('#section-cut-list'), count('#section-crimp-list')]";
    let counts = page.run_with(script, vec![json!(mark)]).await;
    let at = |i: usize| counts[i].as_u64().unwrap();
    (at(0), at(1), at(2))
}

async fn assert_marked(page: &Page, mark: &str) {
    let (wiring, cut, crimp) = marked(page, mark).await;
    assert!(wiring >= 1 && cut >= 1, "{mark}: {wiring} in the wiring, {cut} in the cut list");
    assert!(crimp >= 2, "{mark}: {crimp} in the crimp list, and a conductor has two ends");
}

async fn assert_nothing_marked(page: &Page) {
    assert_eq!(page.run("return document.querySelectorAll('.is-marked, .halo').length").await, json!(0));
}

#[tokio::test]
async fn resting_on_a_row_marks_the_drawing_and_every_list() {
    let page = Page::open(EXAMPLE, "").await;
    let mark = some_conductor(&page).await;
    assert_nothing_marked(&page).await;
    page.rest_on(&format!("#section-cut-list tr[data-conductor~='{mark}'] a")).await;
    assert_marked(&page, &mark).await;
    let halo = page.run("return document.querySelectorAll('#section-wiring .halo').length").await;
    assert!(halo.as_u64().unwrap() >= 1, "the drawn line stands out");
    page.rest_on("h1").await;
    assert_nothing_marked(&page).await;
    page.close().await;
}

#[tokio::test]
async fn resting_on_a_drawn_line_marks_its_rows() {
    let page = Page::open(EXAMPLE, "").await;
    let mark = some_conductor(&page).await;
    page.rest_on_line(&format!("#section-wiring g.conductor[data-conductor='{mark}'] path:not(.reach)"))
        .await;
    assert_marked(&page, &mark).await;
    page.close().await;
}

#[tokio::test]
async fn a_click_holds_the_mark_and_escape_lets_go() {
    let page = Page::open(EXAMPLE, "").await;
    let mark = some_conductor(&page).await;
    page.click(&format!("#section-cut-list tr[data-conductor~='{mark}'] td:nth-child(2)")).await;
    page.rest_on("h1").await;
    assert_marked(&page, &mark).await;
    assert_eq!(page.run("return decodeURIComponent(location.hash)").await, json!(format!("#{mark}")));
    let strip = page.text("#marked").await;
    assert!(strip.contains(&mark) && strip.contains("Cut list") && strip.contains("Wiring"), "{strip}");
    page.press("\u{e00c}").await;
    assert_nothing_marked(&page).await;
    page.close().await;
}

#[tokio::test]
async fn the_keyboard_reaches_conductors_in_drawing_and_list() {
    let page = Page::open(EXAMPLE, "").await;
    let first = page.run("const g = document.querySelector('#section-wiring g.conductor[tabindex=\"0\"]'); g.focus({focusVisible: true}); return g.getAttribute('data-conductor')").await;
    page.press("\u{e014}").await;
    let second = page.run("return document.activeElement.getAttribute('data-conductor')").await;
    assert_ne!(first, second);
    let second = second.as_str().unwrap().to_owned();
    let shown = page.text("#marked").await;
    assert!(shown.contains(&second), "{shown}");
    page.press("\u{e007}").await;
    assert_eq!(page.run("return decodeURIComponent(location.hash)").await, json!(format!("#{second}")));
    page.press("\u{e00c}").await;
    page.run("document.querySelector('#section-cut-list td a').focus({focusVisible: true})").await;
    let row = page.run("return document.activeElement.textContent").await;
    assert!(page.text("#marked").await.contains(row.as_str().unwrap()));
    page.close().await;
}

#[tokio::test]
async fn an_address_with_a_name_opens_marked_and_in_view() {
    let page = Page::open(EXAMPLE, "").await;
    let mark = some_conductor(&page).await;
    page.close().await;
    let page = Page::open(EXAMPLE, &format!("#{mark}")).await;
    assert_marked(&page, &mark).await;
    let in_view = page
        .run(
            "const r = document.querySelector('.is-marked').getBoundingClientRect();
            return r.bottom > 0 && r.top < innerHeight",
        )
        .await;
    assert_eq!(in_view, json!(true));
    page.close().await;
}

#[tokio::test]
async fn search_finds_names_and_rows() {
    let page = Page::open(EXAMPLE, "").await;
    let mark = some_conductor(&page).await;
    page.type_into("#search", &mark.to_lowercase()).await;
    assert!(page.text("#hits").await.contains(&mark));
    page.press("\u{e007}").await;
    assert_marked(&page, &mark).await;
    page.press("\u{e00c}").await;
    page.run("document.getElementById('search').value = ''").await;
    page.type_into("#search", "no such thing anywhere").await;
    assert!(page.text("#hits").await.contains("nothing of that name"));
    page.close().await;
}

#[tokio::test]
async fn a_name_in_a_finding_leads_to_the_drawing() {
    let page = Page::open("as-found", "").await;
    let name = page.run("return document.querySelector('article b a[data-hole]').textContent").await;
    page.rest_on("article b a[data-hole]").await;
    let script = "return document.querySelectorAll(`#section-routing .is-marked[data-hole~=\"${CSS.escape(arguments[0])}\"]`).length";
    assert!(page.run_with(script, vec![name.clone()]).await.as_u64().unwrap() >= 1, "{name}");
    assert!(page.text("#marked").await.contains(name.as_str().unwrap()));
    assert!(page.text(".banner").await.contains("DO NOT BUILD"));
    page.close().await;
}

#[tokio::test]
async fn ticks_survive_a_reload_and_can_be_taken_back() {
    let page = Page::open(EXAMPLE, "").await;
    page.click("#section-cut-list tr[data-row] input").await;
    let progress = page.text("output[data-progress='cut-list']").await;
    assert!(progress.starts_with("1 of "), "{progress}");
    page.reload().await;
    assert_eq!(page.text("output[data-progress='cut-list']").await, progress);
    let box_is = "return document.querySelector('#section-cut-list tr[data-row] input').checked";
    assert_eq!(page.run(box_is).await, json!(true));
    assert!(page.text("output[data-progress='crimp-list']").await.starts_with("0 of "));
    page.click("button[data-clear='cut-list']").await;
    page.reload().await;
    assert_eq!(page.run(box_is).await, json!(false));
    page.close().await;
}

#[tokio::test]
async fn a_cut_length_opens_to_its_terms_and_they_add_up() {
    let page = Page::open(EXAMPLE, "").await;
    page.click("#section-cut-list .terms summary").await;
    assert_eq!(page.run("return location.hash").await, json!(""), "opening is no marking");
    let figures = page
        .run(
            "const terms = document.querySelector('#section-cut-list .terms[open]');
            const number = (e) => parseFloat(e.textContent);
            return [number(terms.querySelector('summary')), [...terms.querySelectorAll('dd')].map(number)]",
        )
        .await;
    let terms: f64 = figures[1].as_array().unwrap().iter().map(|t| t.as_f64().unwrap()).sum();
    assert_eq!(figures[0].as_f64().unwrap(), terms);
    page.close().await;
}

#[tokio::test]
async fn a_drawing_grows_and_fits_again() {
    let page = Page::open(EXAMPLE, "").await;
    let width = "return document.querySelector('#section-wiring svg').getBoundingClientRect().width";
    let before = page.run(width).await.as_f64().unwrap();
    page.click("#section-wiring button[data-zoom='in']").await;
    assert!(page.run(width).await.as_f64().unwrap() > before * 1.2);
    page.click("#section-wiring button[data-zoom='fit']").await;
    assert!((page.run(width).await.as_f64().unwrap() - before).abs() < 1.0);
    page.close().await;
}

#[tokio::test]
async fn names_are_shown_and_nothing_of_them_runs() {
    // Every text that the page got from the spec stands in text nodes and attributes, so the only script is the page's.
    let page = Page::open(EXAMPLE, "").await;
    assert_eq!(page.run("return document.scripts.length").await, json!(1));
    let handlers = "return [...document.querySelectorAll('*')].filter((e) => [...e.attributes].some((a) => a.name.startsWith('on') || a.name === 'style')).length";
    assert_eq!(page.run(handlers).await, json!(0));
    page.close().await;
}

#[tokio::test]
async fn a_hole_stands_for_the_conductors_in_it() {
    let page = Page::open(EXAMPLE, "#FH1").await;
    let counts = page
        .run(
            "const told = document.querySelector('#section-routing .is-marked[data-hole=\"FH1\"]');
            return [told.getAttribute('data-conductor').split(' ').length,
                document.querySelectorAll('#section-cut-list tr.is-marked').length]",
        )
        .await;
    assert!(counts[0].as_u64().unwrap() > 1);
    assert_eq!(counts[0], counts[1]);
    page.close().await;
}

#[tokio::test]
async fn a_drawing_is_dragged_and_cannot_be_lost() {
    let page = Page::open(EXAMPLE, "").await;
    let (x, y) = wiring_in_view(&page).await;
    page.at(x + 200.0, y, &[DOWN]).await;
    page.at(x - 200.0, y, &[UP]).await;
    assert_eq!(view(&page).await, [1.0, 0.0, 0.0], "there is nothing to drag while all is seen");
    page.press("\u{e00c}").await;

    let before = spot(&page, x + 150.0, y + 80.0).await;
    page.at(x + 150.0, y + 80.0, &[DOWN, UP, DOWN, UP]).await;
    let [scale, left, top] = view(&page).await;
    assert!((scale - 2.0).abs() < 0.01, "two clicks double it, {scale}");
    let after = spot(&page, x + 150.0, y + 80.0).await;
    for i in [0, 1] {
        assert!((before[i] - after[i]).abs() < 2.0, "the spot stays: {before:?} mm, {after:?} mm");
    }

    let hash = page.run("return location.hash").await;
    page.at(x, y, &[DOWN]).await;
    page.at(x - 90.0, y - 60.0, &[UP]).await;
    let [_, dragged, lifted] = view(&page).await;
    assert!((dragged - left - 90.0).abs() < 2.0 && (lifted - top - 60.0).abs() < 2.0);
    assert_eq!(page.run("return location.hash").await, hash, "the click that ends a drag marks nothing");

    page.at(x - 300.0, y, &[DOWN]).await;
    for _ in 0..8 {
        page.at(x + 300.0, y, &[UP]).await;
        page.at(x - 300.0, y, &[DOWN]).await;
    }
    page.at(x, y, &[UP]).await;
    let [_, end, _] = view(&page).await;
    assert!(end >= 0.0, "{end}");
    let edge = page.run("return document.querySelector('#sheet-wiring-1 svg').getBoundingClientRect().left - document.getElementById('sheet-wiring-1').getBoundingClientRect().left").await;
    assert!(edge.as_f64().unwrap() <= 1.5, "no margin opens beside the sheet");
    page.close().await;
}

#[tokio::test]
async fn the_wheel_stays_the_pages_and_with_ctrl_it_zooms() {
    let page = Page::open(EXAMPLE, "").await;
    let (x, y) = wiring_in_view(&page).await;
    let scrolled = page.run("return scrollY").await.as_f64().unwrap();
    page.wheel(x as i64, y as i64, -120, true).await;
    assert!(view(&page).await[0] > 1.2);
    assert_eq!(page.run("return scrollY").await.as_f64().unwrap(), scrolled);
    let enlarged = view(&page).await;
    page.wheel(x as i64, y as i64, 120, false).await;
    // The browser scrolls in its own time.
    let moved = "return new Promise((done) => { const look = () => scrollY > arguments[0] ? done(true) : setTimeout(look, 20); look(); })";
    let moved = tokio::time::timeout(Duration::from_secs(10), page.run_with(moved, vec![json!(scrolled)]));
    assert_eq!(moved.await.expect("the page scrolls"), json!(true));
    assert_eq!(view(&page).await, enlarged);
    page.close().await;
}

#[tokio::test]
async fn a_drawing_obeys_the_keyboard() {
    let page = Page::open(EXAMPLE, "").await;
    page.run("document.getElementById('sheet-wiring-1').focus({focusVisible: true})").await;
    let outline = "return getComputedStyle(document.activeElement).outlineStyle";
    assert_eq!(page.run(outline).await, json!("solid"), "the focus is seen");
    page.press("+").await;
    page.press("+").await;
    let [scale, left, top] = view(&page).await;
    assert!((scale - 1.5625).abs() < 0.01, "{scale}");
    page.press("\u{e014}").await;
    page.press("\u{e015}").await;
    let [_, right, down] = view(&page).await;
    assert!(right > left + 50.0 && down > top + 50.0);
    page.press("-").await;
    assert!((view(&page).await[0] - 1.25).abs() < 0.01);
    page.press("0").await;
    assert_eq!(view(&page).await, [1.0, 0.0, 0.0]);
    page.press("-").await;
    assert_eq!(view(&page).await[0], 1.0, "no smaller than its window");
    page.close().await;
}

#[tokio::test]
async fn sheets_are_turned_by_hand_and_by_what_is_sought() {
    let page = Page::open(EXAMPLE, "").await;
    let seen = "return [...document.querySelectorAll('#section-faces .sheet')].filter((s) => s.offsetHeight > 0).map((s) => s.id).join()";
    assert_eq!(page.run(seen).await, json!("sheet-faces-1"));
    page.click("#section-faces .turn button:nth-child(2)").await;
    assert_eq!(page.run(seen).await, json!("sheet-faces-2"));
    assert!(page.text("#section-faces .tools").await.contains("faces-2.svg"));
    page.press("\u{e014}").await;
    assert_eq!(page.run(seen).await, json!("sheet-faces-3"));
    page.press("\u{e011}").await;
    assert_eq!(page.run(seen).await, json!("sheet-faces-1"));
    let hidden = "return [...document.querySelectorAll('#sheet-faces-3 g[data-conductor]')].map((g) => g.dataset.conductor)
        .find((m) => !m.includes(' ') && !document.querySelector(`#sheet-faces-1 [data-conductor~=\"${CSS.escape(m)}\"]`))";
    let mark = page.run(hidden).await.as_str().expect("a conductor on the third sheet only").to_owned();
    page.type_into("#search", &mark).await;
    page.press("\u{e007}").await;
    assert_marked(&page, &mark).await;
    assert_ne!(page.run(seen).await, json!("sheet-faces-1"));
    let there = "return document.querySelectorAll('#section-faces .sheet:not([hidden]) .is-marked').length";
    assert!(page.run(there).await.as_u64().unwrap() >= 1);
    page.close().await;
    let page = Page::open(EXAMPLE, "#sheet-faces-2").await;
    assert_eq!(page.run(seen).await, json!("sheet-faces-2"));
    page.close().await;
}

#[tokio::test]
async fn every_kind_of_thing_is_found_marked_and_addressed() {
    let page = Page::open(EXAMPLE, "").await;
    // Kind and a place of it that must be marked.
    for (kind, place) in [
        ("device", "#section-wiring"),
        ("connector", "#section-faces"),
        ("circuit", "#section-wiring"),
        ("hole", "#section-holes"),
        ("run", "#section-routing"),
        ("place", "#section-routing"),
    ] {
        let script = "return document.querySelector(`${arguments[1]} [data-${arguments[0]}]`)
            .getAttribute('data-' + arguments[0]).split(' ')[0].replaceAll('\\u00a0', ' ')";
        let name = page.run_with(script, vec![json!(kind), json!(place)]).await.as_str().unwrap().to_owned();
        page.type_into("#search", &name).await;
        let script = "[...document.querySelectorAll('#hits button')].find((b) => b.firstChild.textContent === arguments[0]
            && b.lastChild.textContent === arguments[1]).focus()";
        page.run_with(script, vec![json!(name), json!(kind)]).await;
        page.press("\u{e007}").await;
        let strip = page.text("#marked").await;
        assert!(strip.contains(&name) && strip.contains(kind), "{kind} {name}: {strip}");
        let count = "return document.querySelectorAll(`${arguments[0]} .is-marked`).length";
        assert!(page.run_with(count, vec![json!(place)]).await.as_u64().unwrap() >= 1, "{kind} {name}");
        let hash = page.run("return decodeURIComponent(location.hash)").await.as_str().unwrap().to_owned();
        assert!(hash == format!("#{name}") || hash == format!("#{kind}:{name}"), "{hash}");
        page.press("\u{e00c}").await;
        assert_nothing_marked(&page).await;
        assert_eq!(page.run("return document.getElementById('search').value").await, json!(""));
    }
    page.close().await;
}

#[tokio::test]
async fn the_bar_counts_places_and_leads_to_them_and_back_returns() {
    let page = Page::open(EXAMPLE, "#circuit:CHT1").await;
    assert!(page.text("#marked").await.contains("circuit"));
    let rows = page.run("return document.querySelectorAll('#section-cut-list tr.is-marked').length").await;
    let strip = page.text("#marked").await;
    assert!(strip.contains(&format!("Cut list {rows}")), "{strip}");
    page.click("#marked a[href='#section-cut-list']").await;
    let in_view =
        "const r = document.querySelector('#section-cut-list tr.is-marked').getBoundingClientRect();
        return r.bottom > 0 && r.top < innerHeight";
    assert_eq!(page.run(in_view).await, json!(true));
    page.click("#section-cut-list tr[data-conductor]:not(.is-marked) td:nth-child(2)").await;
    assert_ne!(page.run("return decodeURIComponent(location.hash)").await, json!("#circuit:CHT1"));
    page.back().await;
    assert_eq!(page.run("return decodeURIComponent(location.hash)").await, json!("#circuit:CHT1"));
    let strip = page.text("#marked").await;
    assert!(strip.contains("CHT1") && strip.contains("circuit"), "{strip}");
    page.close().await;
}
