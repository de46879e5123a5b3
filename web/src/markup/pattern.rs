//! The patterns that the markup's macro writes: all that is fixed in a piece of markup, as one text.
//!
//! A mark, and texts that end with a zero: `<` tag, `>` end of the element, `"` attribute and value, `'` text; and the holes, which
//! are filled in their order: `=` attribute, `+` class, `:` style, `*` property, `!` listener, `@` where the element is remembered,
//! `.` child.

use super::Text;
use super::element::{Element, Hole};
use super::listen::Listener;
use super::state::{State, build, lay, mark};
use super::value::{Value, Word};
use leptos::prelude::{RenderEffect, document};
use std::mem;
use wasm_bindgen::{JsCast, JsValue};

const SVG: &str = "http://www.w3.org/2000/svg";

/// An element on the page, with what fills its holes.
pub(super) struct Built {
    pub(super) element: web_sys::Element,
    pub(super) pattern: &'static str,
    parts: Vec<Part>,
}

/// What stands in a hole.
enum Part {
    Value(web_sys::Element, Kind, &'static str, Written),
    Listen(web_sys::Element, Listener),
    Place(web_sys::Element),
    /// A child, and whether it stands in a drawing.
    Child(State, bool),
}

/// A value as it was written last.
enum Written {
    Fixed(Option<Text>),
    Live(RenderEffect<Option<Text>>),
}

/// Where a value is written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Attribute,
    Class,
    Style,
    Property,
}

impl Drop for Built {
    fn drop(&mut self) {
        for part in &self.parts {
            if let Part::Listen(element, listener) = part {
                listener.stop(element);
            }
        }
    }
}

/// Reads a pattern from its start.
struct Reader(&'static str);

impl Reader {
    fn mark(&mut self) -> Option<char> {
        let mut letters = self.0.chars();
        let mark = letters.next();
        self.0 = letters.as_str();
        mark
    }

    fn text(&mut self) -> &'static str {
        let (text, rest) = self.0.split_once('\0').unwrap_or((self.0, ""));
        self.0 = rest;
        text
    }
}

/// Builds an element beside the page.
pub(super) fn build_element(described: Element, in_svg: bool) -> State {
    let Element { pattern, holes } = described;
    let mut holes = holes.into_iter();
    let mut reader = Reader(pattern);
    let mut parts = Vec::with_capacity(holes.len());
    // The elements that are open, each with whether it stands in a drawing.
    let mut open: Vec<(web_sys::Element, bool)> = Vec::new();
    let page = document();
    while let Some(mark) = reader.mark() {
        if mark == '<' {
            let tag = reader.text();
            let is_svg = tag == "svg" || open.last().map_or(in_svg, |(_, is_svg)| *is_svg);
            let made = if is_svg {
                page.create_element_ns(Some(SVG), tag)
            } else {
                page.create_element(tag)
            };
            // A browser refuses only names that are no names; ours are written in the source.
            let Ok(made) = made else { break };
            if let Some((parent, _)) = open.last() {
                append(parent, &made);
            }
            open.push((made, is_svg));
            continue;
        }
        if mark == '>' {
            if open.len() > 1 {
                open.pop();
            }
            continue;
        }
        let Some((element, is_svg)) = open.last() else {
            break;
        };
        match mark {
            '"' => {
                let name = reader.text();
                let _ = element.set_attribute(name, reader.text());
            }
            '\'' => append(element, &page.create_text_node(reader.text())),
            '=' | '+' | ':' | '*' => {
                let name = reader.text();
                let kind = match mark {
                    '=' => Kind::Attribute,
                    '+' => Kind::Class,
                    ':' => Kind::Style,
                    _ => Kind::Property,
                };
                if let Some(Hole::Value(value)) = holes.next() {
                    let written = write_first(element, kind, name, value);
                    parts.push(Part::Value(element.clone(), kind, name, written));
                }
            }
            _ => parts.extend(holes.next().map(|hole| fill(element, *is_svg, hole))),
        }
    }
    match open.into_iter().next() {
        Some((element, _)) => State::Element(Box::new(Built {
            element,
            pattern,
            parts,
        })),
        None => State::Nothing(mark()),
    }
}

fn append(parent: &web_sys::Element, child: &web_sys::Node) {
    // Refused only where a node would lie inside itself.
    let _ = parent.append_child(child);
}

fn fill(element: &web_sys::Element, is_svg: bool, hole: Hole) -> Part {
    match hole {
        Hole::Listen(event, handler) => {
            Part::Listen(element.clone(), Listener::new(element, event, handler))
        }
        Hole::Place(place) => {
            place.put(element);
            Part::Place(element.clone())
        }
        Hole::Child(child) => {
            let state = build(child, is_svg);
            state.put(element, None);
            Part::Child(state, is_svg)
        }
        Hole::Value(_) => Part::Place(element.clone()),
    }
}

/// Lays a description of the same pattern over what stands.
pub(super) fn lay_element(built: &mut Built, holes: Vec<Hole>) {
    for (part, hole) in built.parts.iter_mut().zip(holes) {
        match (part, hole) {
            (Part::Value(element, kind, name, written), Hole::Value(value)) => {
                lay_value(element, *kind, name, written, value);
            }
            (Part::Listen(_, listener), Hole::Listen(_, handler)) => listener.change(handler),
            (Part::Place(element), Hole::Place(place)) => place.put(element),
            (Part::Child(state, is_svg), Hole::Child(child)) => {
                let standing = mem::replace(state, State::Moving);
                *state = lay(standing, child, *is_svg);
            }
            // The same pattern has the same holes.
            _ => {}
        }
    }
}

fn lay_value(
    element: &web_sys::Element,
    kind: Kind,
    name: &'static str,
    written: &mut Written,
    value: Value,
) {
    let last = match written {
        Written::Fixed(last) => last.take(),
        Written::Live(effect) => effect.take_value().flatten(),
    };
    *written = match value {
        Value::Fixed(value) => {
            if last != value {
                write(element, kind, name, last.as_deref(), value.as_deref());
            }
            Written::Fixed(value)
        }
        Value::Live(value) => Written::Live(keep_written(element, kind, name, value, Some(last))),
    };
}

fn write_first(
    element: &web_sys::Element,
    kind: Kind,
    name: &'static str,
    value: Value,
) -> Written {
    match value {
        Value::Fixed(value) => {
            if value.is_some() || kind == Kind::Property {
                write(element, kind, name, None, value.as_deref());
            }
            Written::Fixed(value)
        }
        Value::Live(value) => Written::Live(keep_written(element, kind, name, value, None)),
    }
}

/// Writes a value now and whenever it changes. What was written last, if anything was, is the start.
fn keep_written(
    element: &web_sys::Element,
    kind: Kind,
    name: &'static str,
    value: Box<dyn Word>,
    last: Option<Option<Text>>,
) -> RenderEffect<Option<Text>> {
    let element = element.clone();
    RenderEffect::new_with_value(
        move |last: Option<Option<Text>>| {
            let value = value.word();
            match last {
                Some(last) if last == value => {}
                None if value.is_none() && kind != Kind::Property => {}
                last => write(
                    &element,
                    kind,
                    name,
                    last.flatten().as_deref(),
                    value.as_deref(),
                ),
            }
            value
        },
        last,
    )
}

/// Writes a value to the page in place of the last one.
fn write(
    element: &web_sys::Element,
    kind: Kind,
    name: &str,
    last: Option<&str>,
    value: Option<&str>,
) {
    // A browser refuses only names that are no names; ours are written in the source.
    match kind {
        Kind::Attribute if name == "class" => {
            let list = element.class_list();
            for class in last.unwrap_or_default().split_ascii_whitespace() {
                let _ = list.remove_1(class);
            }
            for class in value.unwrap_or_default().split_ascii_whitespace() {
                let _ = list.add_1(class);
            }
        }
        Kind::Attribute => {
            let _ = match value {
                Some(value) => element.set_attribute(name, value),
                None => element.remove_attribute(name),
            };
        }
        Kind::Class => {
            let list = element.class_list();
            let _ = if value.is_some() {
                list.add_1(name)
            } else {
                list.remove_1(name)
            };
        }
        Kind::Style => {
            let style = element.unchecked_ref::<web_sys::HtmlElement>().style();
            let _ = match value {
                Some(value) => style.set_property(name, value),
                None => style.remove_property(name).map(|_| ()),
            };
        }
        Kind::Property => {
            let value = match value {
                None if name == "value" => JsValue::from_str(""),
                None => JsValue::FALSE,
                Some("") if name != "value" => JsValue::TRUE,
                Some(text) => JsValue::from_str(text),
            };
            let _ = js_sys::Reflect::set(element, &JsValue::from_str(name), &value);
        }
    }
}
