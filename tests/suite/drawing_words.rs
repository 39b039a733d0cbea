//! What all drawings say of themselves, in the same words on each of them: caution, heading of the legend, scale and kind of document.

use std::collections::BTreeSet;

use fairlead::draw::{Layer, Scene, Shape};
use fairlead::pipeline;

fn texts(scene: &Scene, layer: Layer) -> Vec<&str> {
    let of = scene.items().iter().filter(|i| i.mark.layer == layer);
    of.filter_map(|i| if let Shape::Text(text) = &i.shape { Some(text.words.as_str()) } else { None })
        .collect()
}

/// What stands under a caption of the title block.
fn under<'a>(scene: &'a Scene, caption: &str) -> Vec<&'a str> {
    let texts = texts(scene, Layer::Frame);
    let captions = ["Legal owner", "Document type", "Scale", "Units", "Title"];
    let at = texts.iter().position(|text| *text == caption).expect("a caption");
    texts[at + 1..].iter().copied().take_while(|text| !captions.contains(text)).collect()
}

#[test]
fn all_drawings_say_the_same_of_themselves() {
    let path = std::path::Path::new("harness-specs/as-found.yaml");
    let found = pipeline::read(path).unwrap().resolve().unwrap();
    let (drawings, _) = found.drawings(None);
    let of = |name: &str| drawings.iter().filter(|d| d.name.starts_with(name)).collect::<Vec<_>>();
    for (name, document, scales) in [
        ("wiring", "Wiring diagram", "not to scale"),
        ("routing", "Routing drawing", "not to scale"),
        ("board", "Board, full size", "1:1"),
        ("faces", "Connector faces", ""),
        ("holes", "Pass-throughs", ""),
    ] {
        let sheets = of(name);
        assert!(!sheets.is_empty(), "{name}");
        for sheet in &sheets {
            assert_eq!(under(&sheet.scene, "Document type").join(" "), document, "{}", sheet.name);
            let scale = under(&sheet.scene, "Scale").join(" ");
            let true_to = scale
                .split_once(':')
                .is_some_and(|(a, b)| a.parse::<u32>().is_ok() && b.parse::<u32>().is_ok());
            assert!(scale == scales || (scales.is_empty() && true_to), "{}: `{scale}`", sheet.name);
        }
        let legends = sheets.iter().filter(|d| texts(&d.scene, Layer::Note).contains(&"Legend"));
        assert!(legends.count() > 0, "{name}: no legend");
    }
    let cautions: BTreeSet<&str> = drawings.iter().map(|d| d.scene.caution.as_str()).collect();
    assert_eq!(cautions.len(), 1, "{cautions:?}");
    assert!(cautions.iter().all(|said| said.starts_with(fairlead::packet::cautions::RUNNING)));
}
