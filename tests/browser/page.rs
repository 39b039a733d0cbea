//! The page of an example packet, opened from the disk as a person would: marks, addresses, search and tick boxes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod browser;

use browser::Page;
use serde_json::json;

/// The example whose committed packet is opened. Another test sees to it that it equals a fresh build.
const EXAMPLE: &str = "four-cylinder";

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
