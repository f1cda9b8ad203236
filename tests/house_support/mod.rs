//! Reads the crate's sources as the compiler does, from `lib.rs` down, without what only tests see.

pub mod circles;

use proc_macro2::{TokenStream, TokenTree};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use syn::visit::{self, Visit};
use syn::{Attribute, Expr, Item, Meta, UseTree};

/// A path or a macro that the program's text names.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// From the crate's root where it is the crate's own (`crate`, `nest`, `nest`), else as written after the
    /// file's imports are put in (`std`, `fs`, `read`).
    pub path: Vec<String>,
    /// File and line.
    pub place: String,
    /// Whether it is only handed on (`pub use`).
    pub handed_on: bool,
}

/// A function of the program.
pub struct Function {
    pub name: String,
    /// File and line.
    pub place: String,
    /// Arguments, the receiver not counted.
    pub arguments: usize,
    /// From `fn` to the closing brace.
    pub lines: usize,
    /// Those of them that are the match it ends with.
    pub table: usize,
}

/// A source file of the program.
pub struct Source {
    /// Where it stands, under `src`.
    pub file: PathBuf,
    /// Its module, `hold`, `fem`, `mesh`; none for `lib.rs`.
    pub module: Vec<String>,
    /// Types and traits that it defines, by name.
    pub types: Vec<Named>,
    pub functions: Vec<Function>,
    /// Paths, with those inside macros.
    pub paths: Vec<Named>,
    /// Macros called, by name.
    pub macros: Vec<Named>,
    /// Texts of more than three words.
    pub sentences: Vec<Named>,
    /// Methods that look into or change a text, called with a text written out or on a field that holds a sentence.
    pub probes: Vec<Named>,
    /// What it hands on under a name of its own (`pub use`): name, and path from the crate's root.
    pub doors: Vec<(String, Vec<String>)>,
}

/// Methods that look into or change a text.
const PROBES: &[&str] = &[
    "starts_with",
    "ends_with",
    "contains",
    "find",
    "rfind",
    "matches",
    "split",
    "split_once",
    "rsplit_once",
    "strip_prefix",
    "strip_suffix",
    "replace",
    "replacen",
    "eq_ignore_ascii_case",
];

/// Fields that hold sentences.
const SENTENCES: &[&str] = &["why", "governs", "message", "off", "words"];

/// Whether a text is a sentence for people: more than three words.
pub fn is_sentence(text: &str) -> bool {
    let word = |w: &&str| w.chars().filter(|c| c.is_alphabetic()).count() > 1 && !w.contains('=');
    text.split_whitespace().filter(word).count() > 3
}

/// Every file of the program under `src`, in the order of its modules; and the files that only tests see.
pub fn program(src: &Path) -> (Vec<Source>, Vec<PathBuf>) {
    let (mut sources, mut tests) = (vec![], vec![]);
    let mut open = vec![(src.join("lib.rs"), vec![], false), (src.join("main.rs"), vec![], false)];
    while let Some((file, module, of_tests)) = open.pop() {
        let text = fs::read_to_string(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
        let (source, children) = read(&text, &file, module);
        open.extend(
            children.into_iter().map(|(child, path, test)| (child, path, of_tests || test)),
        );
        if of_tests { tests.push(file) } else { sources.push(source) }
    }
    sources.sort_by(|a, b| a.file.cmp(&b.file));
    (sources, tests)
}

/// One file's text; with the files of its `mod name;` lines, their modules, and whether only tests see them.
pub fn read(text: &str, file: &Path, module: Vec<String>) -> (Source, Vec<Child>) {
    let parsed = syn::parse_file(text).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
    let source = Source {
        file: file.into(),
        module: module.clone(),
        types: vec![],
        functions: vec![],
        paths: vec![],
        macros: vec![],
        sentences: vec![],
        probes: vec![],
        doors: vec![],
    };
    let mut reader =
        Reader { source, module, imports: BTreeMap::new(), children: vec![], handed_on: false };
    reader.visit_file(&parsed);
    let imports = reader.imports;
    for named in &mut reader.source.paths {
        if let Some(whole) = imports.get(&named.path[0]) {
            named.path.splice(..1, whole.iter().cloned());
        }
    }
    (reader.source, reader.children)
}

/// File, module, seen by tests alone.
type Child = (PathBuf, Vec<String>, bool);

struct Reader {
    source: Source,
    /// The module that is being read: the file's, or one written out inside it.
    module: Vec<String>,
    /// What a name stands for by a `use` of this file.
    imports: BTreeMap<String, Vec<String>>,
    children: Vec<Child>,
    /// Whether a `pub use` is being read.
    handed_on: bool,
}

impl Reader {
    /// The file of a `mod name;`.
    fn child(&mut self, m: &syn::ItemMod, of_tests: bool) {
        let stem = self.source.file.file_stem().and_then(|s| s.to_str()).unwrap_or("");
        let beside = self.source.file.parent().unwrap_or(Path::new(""));
        let own = ["lib", "main", "mod"].contains(&stem);
        let folder = if own { beside.into() } else { beside.join(stem) };
        let name = m.ident.to_string();
        let files = [folder.join(format!("{name}.rs")), folder.join(&name).join("mod.rs")];
        let file = files.iter().find(|f| f.is_file()).unwrap_or(&files[0]);
        let module = self.module.iter().cloned().chain([name]).collect();
        self.children.push((file.clone(), module, of_tests));
    }

    fn place(&self, line: usize) -> String {
        format!("{}:{line}", self.source.file.display())
    }

    fn name(&mut self, written: Vec<String>, line: usize) {
        let (path, place) = (self.rooted(written), self.place(line));
        self.source.paths.push(Named { path, place, handed_on: self.handed_on });
    }

    /// A text, kept where it is a sentence.
    fn text(&mut self, text: &str, line: usize) {
        if is_sentence(text) {
            let place = self.place(line);
            self.source.sentences.push(Named { path: vec![text.into()], place, handed_on: false });
        }
    }

    /// A method called, kept where it looks into a text.
    fn probe(&mut self, method: &str, text: bool, field: &str, line: usize) {
        if PROBES.contains(&method) && (text || SENTENCES.contains(&field)) {
            let place = self.place(line);
            let path = vec![field.into(), method.into()];
            self.source.probes.push(Named { path, place, handed_on: false });
        }
    }

    /// `crate`, `self` and `super` made a path from the crate's root; any other path as it is.
    fn rooted(&self, written: Vec<String>) -> Vec<String> {
        let up = written.iter().take_while(|s| *s == "super" || *s == "self").count();
        let supers = written[..up].iter().filter(|s| *s == "super").count();
        if up == 0 {
            return written;
        }
        let own = &self.module[..self.module.len().saturating_sub(supers)];
        let root = std::iter::once("crate".to_string());
        root.chain(own.iter().cloned()).chain(written[up..].iter().cloned()).collect()
    }

    /// Each path of a tree of imports.
    fn import(&mut self, tree: &UseTree, before: &[String], line: usize) {
        let with = |name: String| {
            if name == "self" && !before.is_empty() {
                return before.to_vec();
            }
            before.iter().cloned().chain([name]).collect::<Vec<_>>()
        };
        let (path, known_as) = match tree {
            UseTree::Path(p) => {
                return self.import(
                    &p.tree,
                    &with(p.ident.to_string()),
                    p.ident.span().start().line,
                );
            }
            UseTree::Group(g) => return g.items.iter().for_each(|t| self.import(t, before, line)),
            UseTree::Name(n) => (with(n.ident.to_string()), n.ident.to_string()),
            UseTree::Rename(r) => (with(r.ident.to_string()), r.rename.to_string()),
            UseTree::Glob(_) => (before.to_vec(), String::new()),
        };
        let known_as = if known_as == "self" { path[path.len() - 1].clone() } else { known_as };
        let whole = self.rooted(path.clone());
        self.name(path, line);
        if self.handed_on {
            self.source.doors.push((known_as.clone(), whole.clone()));
        }
        if !known_as.is_empty() && whole[0] != known_as {
            self.imports.insert(known_as, whole);
        }
    }

    /// The paths in the text of a macro call, names joined by `::`, and the macros called in it.
    fn tokens(&mut self, tokens: TokenStream) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let colon = |i: usize| mark(&tokens, i, ':');
        let mut i = 0;
        while let Some(token) = tokens.get(i) {
            i += 1;
            match token {
                TokenTree::Group(group) => self.tokens(group.stream()),
                TokenTree::Literal(literal) => {
                    if let Ok(text) = syn::parse_str::<syn::LitStr>(&literal.to_string()) {
                        self.text(&text.value(), literal.span().start().line);
                    }
                }
                TokenTree::Ident(first) => {
                    let line = first.span().start().line;
                    if i > 1
                        && mark(&tokens, i - 2, '.')
                        && let Some(TokenTree::Group(arguments)) = tokens.get(i)
                    {
                        let field = match i.checked_sub(3).and_then(|f| tokens.get(f)) {
                            Some(TokenTree::Ident(field)) => field.to_string(),
                            _ => String::new(),
                        };
                        let literal =
                            |t: TokenTree| matches!(t, TokenTree::Literal(l) if is_text(&l));
                        let text = arguments.stream().into_iter().any(literal);
                        self.probe(&first.to_string(), text, &field, line);
                    }
                    let mut path = vec![first.to_string()];
                    while colon(i)
                        && colon(i + 1)
                        && let Some(TokenTree::Ident(next)) = tokens.get(i + 2)
                    {
                        path.push(next.to_string());
                        i += 3;
                    }
                    if mark(&tokens, i, '!')
                        && matches!(tokens.get(i + 1), Some(TokenTree::Group(_)))
                    {
                        let place = self.place(line);
                        self.source.macros.push(Named { path, place, handed_on: false });
                    } else if path.len() > 1 {
                        self.name(path, line);
                    }
                }
                _ => {}
            }
        }
    }
}

fn mark(tokens: &[TokenTree], i: usize, wanted: char) -> bool {
    matches!(tokens.get(i), Some(TokenTree::Punct(p)) if p.as_char() == wanted)
}

impl Reader {
    /// Notes a function with a body.
    fn function(&mut self, signature: &syn::Signature, body: &syn::Block) {
        let line = |span: proc_macro2::Span| span.start().line;
        let first = line(signature.fn_token.span);
        let own = |a: &&syn::FnArg| matches!(a, syn::FnArg::Typed(_));
        let table = match body.stmts.last() {
            Some(syn::Stmt::Expr(Expr::Match(m), None)) => {
                line(m.brace_token.span.close()) + 1 - line(m.match_token.span)
            }
            _ => 0,
        };
        self.source.functions.push(Function {
            name: signature.ident.to_string(),
            place: self.place(first),
            arguments: signature.inputs.iter().filter(own).count(),
            lines: line(body.brace_token.span.close()) + 1 - first,
            table,
        });
    }

    /// Notes a type or a trait.
    fn defined(&mut self, item: &Item) {
        let name = match item {
            Item::Struct(i) => &i.ident,
            Item::Enum(i) => &i.ident,
            Item::Union(i) => &i.ident,
            Item::Type(i) => &i.ident,
            Item::Trait(i) => &i.ident,
            _ => return,
        };
        let (path, place) = (vec![name.to_string()], self.place(name.span().start().line));
        self.source.types.push(Named { path, place, handed_on: false });
    }
}

impl<'a> Visit<'a> for Reader {
    fn visit_item(&mut self, item: &'a Item) {
        let of_tests = for_tests(attributes(item));
        match item {
            Item::Mod(m) if m.content.is_none() => self.child(m, of_tests),
            _ if of_tests => {}
            _ => {
                self.defined(item);
                visit::visit_item(self, item);
            }
        }
    }

    fn visit_item_fn(&mut self, f: &'a syn::ItemFn) {
        self.function(&f.sig, &f.block);
        visit::visit_item_fn(self, f);
    }

    fn visit_impl_item_fn(&mut self, f: &'a syn::ImplItemFn) {
        if !for_tests(&f.attrs) {
            self.function(&f.sig, &f.block);
            visit::visit_impl_item_fn(self, f);
        }
    }

    fn visit_item_mod(&mut self, m: &'a syn::ItemMod) {
        self.module.push(m.ident.to_string());
        visit::visit_item_mod(self, m);
        self.module.pop();
    }

    fn visit_item_use(&mut self, u: &'a syn::ItemUse) {
        self.handed_on = !matches!(u.vis, syn::Visibility::Inherited);
        self.import(&u.tree, &[], u.use_token.span.start().line);
        self.handed_on = false;
    }

    fn visit_path(&mut self, path: &'a syn::Path) {
        self.name(names(path), line(path));
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, call: &'a syn::Macro) {
        let (path, place) = (names(&call.path), self.place(line(&call.path)));
        self.source.macros.push(Named { path, place, handed_on: false });
        self.tokens(call.tokens.clone());
    }

    fn visit_lit_str(&mut self, text: &'a syn::LitStr) {
        self.text(&text.value(), text.span().start().line);
    }

    fn visit_expr_method_call(&mut self, call: &'a syn::ExprMethodCall) {
        let field = match &*call.receiver {
            Expr::Field(f) => match &f.member {
                syn::Member::Named(name) => name.to_string(),
                syn::Member::Unnamed(_) => String::new(),
            },
            _ => String::new(),
        };
        let text = |e: &Expr| match bare(e) {
            Expr::Lit(lit) => matches!(lit.lit, syn::Lit::Str(_)),
            _ => false,
        };
        let line = call.method.span().start().line;
        self.probe(&call.method.to_string(), call.args.iter().any(text), &field, line);
        visit::visit_expr_method_call(self, call);
    }

    /// `pub(crate)` uses nothing.
    fn visit_visibility(&mut self, _: &'a syn::Visibility) {}

    /// Neither do attributes: derives and lints.
    fn visit_attribute(&mut self, _: &'a Attribute) {}
}

/// An expression without `&` before it.
fn bare(e: &Expr) -> &Expr {
    match e {
        Expr::Reference(r) => bare(&r.expr),
        e => e,
    }
}

fn is_text(literal: &proc_macro2::Literal) -> bool {
    syn::parse_str::<syn::LitStr>(&literal.to_string()).is_ok()
}

fn names(path: &syn::Path) -> Vec<String> {
    path.segments.iter().map(|s| s.ident.to_string()).collect()
}

fn line(path: &syn::Path) -> usize {
    path.segments.first().map_or(0, |s| s.ident.span().start().line)
}

/// Whether only tests are built with it.
fn for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|a| match &a.meta {
        Meta::List(list) if list.path.is_ident("cfg") => {
            let words = list.tokens.to_string().replace(' ', "");
            words == "test" || words.starts_with("all(test,")
        }
        meta => meta.path().is_ident("test"),
    })
}

fn attributes(item: &Item) -> &[Attribute] {
    match item {
        Item::Const(i) => &i.attrs,
        Item::Enum(i) => &i.attrs,
        Item::Fn(i) => &i.attrs,
        Item::Impl(i) => &i.attrs,
        Item::Macro(i) => &i.attrs,
        Item::Mod(i) => &i.attrs,
        Item::Static(i) => &i.attrs,
        Item::Struct(i) => &i.attrs,
        Item::Trait(i) => &i.attrs,
        Item::Type(i) => &i.attrs,
        Item::Use(i) => &i.attrs,
        _ => &[],
    }
}
