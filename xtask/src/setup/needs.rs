//! The lists of packages, one a line: the package, then what it brings.

/// One package and the signs of its presence on systems that name packages otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Need {
    /// The package as Debian and Ubuntu name it.
    pub(crate) package: String,
    /// What it brings; empty when only the package's own presence tells.
    pub(crate) brings: Vec<Sign>,
}

/// Something that can be looked for on any system.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Sign {
    /// A program in the search path.
    Program(String),
    /// A library by the name pkg-config knows it under.
    Library(String),
}

/// Reads a list; `#` starts a comment.
pub(crate) fn parse(list: &str) -> Vec<Need> {
    list.lines()
        .filter_map(|line| {
            let line = line.split('#').next().unwrap_or_default();
            let mut words = line.split_whitespace();
            let package = words.next()?.to_owned();
            let brings = words
                .map(|word| match word.strip_prefix("pc:") {
                    Some(library) => Sign::Library(library.to_owned()),
                    None => Sign::Program(word.to_owned()),
                })
                .collect();
            Some(Need { package, brings })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_has_comments_programs_and_libraries() {
        let needs =
            parse("# head\n\nbuild-essential cc make # compiler\nlibx-dev pc:x-4.1\nxauth\n");
        assert_eq!(needs.len(), 3, "three lines name a package");
        assert_eq!(needs[0].package, "build-essential");
        assert_eq!(needs[0].brings[1], Sign::Program("make".to_owned()));
        assert_eq!(needs[1].brings, [Sign::Library("x-4.1".to_owned())]);
        assert_eq!(needs[2].brings, []);
    }
}
