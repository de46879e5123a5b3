//! `view!`: the page's markup.
//!
//! The words are those of Leptos' own macro, and it is read by the same parser. What comes out differs: all that is fixed in a
//! piece of markup becomes one text, and what changes fills its holes, where Leptos' own makes a type of each piece.
//! Signals, memos, effects, contexts and components stay Leptos' own. The code that this stands on is `markup` in the page.

use proc_macro2::{Ident, Span, TokenStream};
use quote::{quote, quote_spanned};
use rstml::node::{
    KVAttributeValue, KeyedAttribute, KeyedAttributeValue, Node, NodeAttribute, NodeBlock,
    NodeElement,
};
use rstml::{Infallible, Parser, ParserConfig};
use syn::spanned::Spanned;

/// Markup to a node of the page.
///
/// Elements with attributes (`name=value`), classes (`class:name=whether`), single styles (`style:name=value`), properties
/// (`prop:name=value`) and listeners (`on:event=handler`); quoted text; Rust in braces; components by their capital letter;
/// `<Show when=whether>` and `<For each=items key=of let:item>`. A value may be a closure or a signal: then it is kept up to date.
#[proc_macro]
pub fn view(input: proc_macro::TokenStream) -> proc_macro::TokenStream {
    let parser = Parser::new(ParserConfig::default().recover_block(true));
    let (nodes, problems) = parser.parse_recoverable(input).split_vec();
    let problems = problems.into_iter().map(|p| p.emit_as_expr_tokens());
    let node = one_of(&nodes);
    quote! {{ #(#problems;)* #node }}.into()
}

/// Several nodes as one.
fn one_of(nodes: &[Node]) -> TokenStream {
    let mut parts = Vec::new();
    for node in nodes {
        parts.extend(node_tokens(node));
    }
    match parts.len() {
        1 => parts.remove(0),
        _ => quote! { crate::markup::Node::Many(vec![#(#parts),*]) },
    }
}

/// The nodes that one piece of markup makes: none for a comment.
fn node_tokens(node: &Node) -> Vec<TokenStream> {
    match node {
        Node::Element(element) => vec![element_tokens(element)],
        Node::Block(block) => {
            let value = block_tokens(block);
            vec![quote_spanned! { block.span()=> crate::markup::IntoNode::into_node(#value) }]
        }
        Node::Text(text) => {
            let value = &text.value;
            vec![quote! { crate::markup::Node::Text(::std::borrow::Cow::Borrowed(#value)) }]
        }
        Node::Fragment(fragment) => fragment.children.iter().flat_map(node_tokens).collect(),
        Node::RawText(text) => {
            let value = text.to_string_best();
            vec![quote! { crate::markup::Node::Text(::std::borrow::Cow::Borrowed(#value)) }]
        }
        Node::Comment(_) | Node::Doctype(_) | Node::Custom(_) => Vec::new(),
    }
}

fn block_tokens(block: &NodeBlock) -> TokenStream {
    match block {
        NodeBlock::ValidBlock(block) if block.stmts.len() == 1 => {
            let only = &block.stmts[0];
            match only {
                syn::Stmt::Expr(value, None) => quote! { #value },
                _ => quote! { #block },
            }
        }
        other => quote! { #other },
    }
}

fn element_tokens(element: &NodeElement<Infallible>) -> TokenStream {
    let name = element.name().to_string();
    match name.as_str() {
        "Show" => return show_tokens(element),
        "For" => return rows_tokens(element),
        _ if name.starts_with(char::is_uppercase) => return component_tokens(element),
        _ => {}
    }
    let mut pattern = Pattern::default();
    pattern.element(element);
    let Pattern { text, holes, made } = pattern;
    quote! {{
        let mut #made = crate::markup::Element::new(#text);
        #(#holes)*
        #made.done()
    }}
}

/// An element with all that is fixed in it as one text, and what fills its holes in their order.
/// The text is read by `markup::pattern` of the page; each mark below is one of its letters.
struct Pattern {
    text: String,
    holes: Vec<TokenStream>,
    made: Ident,
}

impl Default for Pattern {
    fn default() -> Self {
        Self {
            text: String::new(),
            holes: Vec::new(),
            made: Ident::new("made", Span::mixed_site()),
        }
    }
}

impl Pattern {
    /// A mark with the texts that belong to it.
    fn put(&mut self, mark: char, texts: &[&str]) {
        self.text.push(mark);
        for text in texts {
            self.text.push_str(text);
            self.text.push('\0');
        }
    }

    fn element(&mut self, element: &NodeElement<Infallible>) {
        self.put('<', &[&element.name().to_string()]);
        // Properties are set last: a list's choice needs its options.
        let is_property = |a: &&NodeAttribute| matches!(a, NodeAttribute::Attribute(a) if a.key.to_string().starts_with("prop:"));
        let attributes = element.attributes();
        for attribute in attributes.iter().filter(|a| !is_property(a)) {
            self.attribute(attribute);
        }
        for child in &element.children {
            self.child(child);
        }
        for attribute in attributes.iter().filter(is_property) {
            self.attribute(attribute);
        }
        self.put('>', &[]);
    }

    fn child(&mut self, child: &Node) {
        match child {
            Node::Element(element)
                if !element.name().to_string().starts_with(char::is_uppercase) =>
            {
                self.element(element);
            }
            Node::Text(text) => self.put('\'', &[&text.value.value()]),
            Node::Fragment(fragment) => {
                for child in &fragment.children {
                    self.child(child);
                }
            }
            other => {
                for node in node_tokens(other) {
                    let made = &self.made;
                    self.holes.push(quote! { #made.child(#node); });
                    self.put('.', &[]);
                }
            }
        }
    }

    fn attribute(&mut self, attribute: &NodeAttribute) {
        let made = self.made.clone();
        let NodeAttribute::Attribute(attribute) = attribute else {
            self.holes
                .push(refused(attribute.span(), "an attribute needs a name"));
            return;
        };
        let key = attribute.key.to_string();
        let span = attribute.key.span();
        let value = value_tokens(attribute);
        let (mark, name) = match key.split_once(':') {
            Some(("on", event)) => {
                let event = Ident::new(event, span);
                self.put('!', &[]);
                self.holes
                    .push(quote_spanned! { span=> #made.on(::leptos::ev::#event, #value); });
                return;
            }
            Some(("class", name)) => ('+', name),
            Some(("style", name)) => (':', name),
            Some(("prop", name)) => ('*', name),
            Some(_) => {
                self.holes.push(refused(span, "unknown kind of attribute"));
                return;
            }
            None if key == "node_ref" => {
                self.put('@', &[]);
                self.holes
                    .push(quote_spanned! { span=> #made.place(#value); });
                return;
            }
            None => ('=', key.as_str()),
        };
        let fixed = match &value {
            None => Some(String::new()),
            Some(_) => attribute.value_literal_string(),
        };
        if let (Some(fixed), '=') = (fixed, mark) {
            self.put('"', &[name, &fixed]);
            return;
        }
        self.put(mark, &[name]);
        self.holes
            .push(quote_spanned! { span=> #made.value(#value); });
    }
}

/// What stands behind the `=`, if anything does.
fn value_tokens(attribute: &KeyedAttribute) -> Option<TokenStream> {
    match &attribute.possible_value {
        KeyedAttributeValue::Value(value) => Some(match &value.value {
            KVAttributeValue::Expr(value) => quote! { #value },
            KVAttributeValue::InvalidBraced(block) => quote! { #block },
        }),
        KeyedAttributeValue::Binding(_) | KeyedAttributeValue::None => None,
    }
}

fn component_tokens(element: &NodeElement<Infallible>) -> TokenStream {
    let name = element.name();
    let set = element.attributes().iter().map(|attribute| {
        let NodeAttribute::Attribute(attribute) = attribute else {
            return refused(attribute.span(), "a property needs a name");
        };
        let key = &attribute.key;
        let value = value_tokens(attribute).unwrap_or_else(|| quote! { #key });
        quote_spanned! { key.span()=> .#key(#value) }
    });
    let props = Ident::new("props", Span::mixed_site());
    quote_spanned! { name.span()=> {
        let #props = ::leptos::component::component_props_builder(&#name) #(#set)*;
        ::leptos::component::component_view(#name, #props.build())
    }}
}

/// The value of an attribute of this name.
fn named<'a>(element: &'a NodeElement<Infallible>, name: &str) -> Option<&'a KeyedAttribute> {
    element
        .attributes()
        .iter()
        .find_map(|attribute| match attribute {
            NodeAttribute::Attribute(a) if a.key.to_string() == name => Some(a),
            _ => None,
        })
}

fn show_tokens(element: &NodeElement<Infallible>) -> TokenStream {
    let Some(when) = named(element, "when").and_then(value_tokens) else {
        return refused(element.name().span(), "<Show> needs when=");
    };
    let shown = one_of(&element.children);
    quote! { crate::markup::show(#when, move || #shown) }
}

fn rows_tokens(element: &NodeElement<Infallible>) -> TokenStream {
    let each = named(element, "each").and_then(value_tokens);
    let key = named(element, "key").and_then(value_tokens);
    let (Some(each), Some(key)) = (each, key) else {
        return refused(element.name().span(), "<For> needs each= and key=");
    };
    let item = element.attributes().iter().find_map(item_pattern);
    let item = item.unwrap_or_else(|| quote! { _ });
    let row = one_of(&element.children);
    quote! { crate::markup::rows(#each, #key, move |#item| #row) }
}

/// What `let:name` or `let(pattern)` binds.
fn item_pattern(attribute: &NodeAttribute) -> Option<TokenStream> {
    let NodeAttribute::Attribute(attribute) = attribute else {
        return None;
    };
    if let KeyedAttributeValue::Binding(binding) = &attribute.possible_value {
        let inputs = &binding.inputs;
        return Some(quote! { #inputs });
    }
    let name = attribute.key.to_string();
    let name = name.strip_prefix("let:")?;
    let name = Ident::new(name, attribute.key.span());
    Some(quote! { #name })
}

fn refused(span: Span, why: &str) -> TokenStream {
    quote_spanned! { span=> compile_error!(#why) }
}
