//! The TypeScript side of the border, written from the Rust types.

use std::collections::BTreeMap;

use ts_rs::{Config, TS, TypeVisitor};

use super::list::visit_commands;

/// Gathers every declared type that the commands reach.
pub(super) struct Gatherer {
    config: Config,
    declared: BTreeMap<String, String>,
    commands: Vec<String>,
}

impl Gatherer {
    pub(super) fn command<Request: TS + 'static, Answer: TS + 'static>(&mut self, name: &str) {
        self.visit::<Request>();
        self.visit::<Answer>();
        let (request, answer) = (Request::name(&self.config), Answer::name(&self.config));
        self.commands.push(format!("  \"{name}\": [{request}, {answer}];"));
    }
}

impl TypeVisitor for Gatherer {
    fn visit<T: TS + 'static + ?Sized>(&mut self) {
        T::visit_generics(self);
        if T::output_path().is_some() {
            let name = T::ident(&self.config);
            if self.declared.contains_key(&name) {
                return;
            }
            let docs = T::docs().unwrap_or_default();
            let text = format!("{docs}export {}\n", T::decl(&self.config));
            self.declared.insert(name, text);
            T::visit_dependencies(self);
        }
    }
}

/// One TypeScript module with every type and the map from command to request and answer.
#[must_use]
pub fn type_declarations() -> String {
    let mut gatherer = Gatherer {
        config: Config::new().with_large_int("number"),
        declared: BTreeMap::new(),
        commands: Vec::new(),
    };
    gatherer.visit::<crate::Problem>();
    gatherer.visit::<crate::Progress>();
    visit_commands(&mut gatherer);
    let mut text =
        "// Written by `cargo xtask types` from the Rust types; edit those instead.\n\n".to_owned();
    for declaration in gatherer.declared.values() {
        text.push_str(declaration);
        text.push('\n');
    }
    text.push_str("/** Every command with its request and its answer. */\n");
    text.push_str("export type Commands = {\n");
    text.push_str(&gatherer.commands.join("\n"));
    text.push_str("\n};\n");
    text
}
