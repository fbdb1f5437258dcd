//! A device: a folder, a place on the network, and `swardbook` as a person runs it.

use std::{
    io::{BufRead as _, BufReader, Read as _, Write as _},
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    sync::mpsc,
    time::Duration,
};

use serde_json::Value as Json;

use crate::network::{Joined, Place};

/// Nothing takes this long; only a failure does.
pub(crate) const PATIENCE: Duration = Duration::from_secs(150);
/// How often it is looked.
const STEP: Duration = Duration::from_millis(2);

pub(crate) struct Device {
    name: String,
    pub(crate) folder: PathBuf,
    pub(crate) place: Option<Place>,
    /// A clock that is off, where one was asked for.
    preload: Option<(PathBuf, String)>,
}

impl Device {
    /// Makes one with an empty notebook.
    pub(crate) fn new(scratch: &Path, name: &str, role: &str, number: u8, joined: &Joined) -> Self {
        let place = matches!(joined, Joined::Switch).then(|| Place::new(number));
        let folder = scratch.join(name);
        let device = Self { name: name.to_owned(), folder, place, preload: None };
        device.run(&["init"]).done();
        device.run(&["devices", "this", "--name", name, "--role", role]).done();
        device
    }

    /// Has it live so many seconds from now.
    pub(crate) fn with_clock(mut self, shim: PathBuf, seconds: i64) -> Self {
        self.preload = Some((shim, seconds.to_string()));
        self
    }

    fn command(&self, words: &[&str]) -> Command {
        let mut all = self.place.as_ref().map(Place::by_way_of).unwrap_or_default();
        all.push(env!("CARGO_BIN_EXE_swardbook").to_owned());
        let mut command = Command::new(&all[0]);
        command.args(&all[1..]).arg("--notebook").arg(&self.folder).args(words);
        if let Some((shim, seconds)) = &self.preload {
            command.env("LD_PRELOAD", shim).env("SWARDBOOK_TEST_CLOCK", seconds);
        }
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    pub(crate) fn run(&self, words: &[&str]) -> Said {
        self.start(words).end()
    }

    #[track_caller]
    pub(crate) fn json(&self, words: &[&str]) -> Json {
        let words: Vec<&str> = words.iter().copied().chain(["--json"]).collect();
        self.run(&words).json()
    }

    /// Starts a command that goes on by itself.
    pub(crate) fn start(&self, words: &[&str]) -> Running {
        Running::new(self.command(words).spawn().unwrap())
    }

    /// Adds a note; its text is its name.
    #[track_caller]
    pub(crate) fn note(&self, note: &str) {
        let add = [
            "observation",
            "add",
            "--zone",
            "Back terrace",
            "--sort",
            "note",
            "--date",
            "2026-09-14",
            "--note",
            note,
        ];
        self.run(&add).done();
    }

    pub(crate) fn notes(&self) -> Vec<String> {
        let list = self.run(&["observation", "list", "--zone", "Back terrace", "--json"]);
        let Ok(records) = serde_json::from_str::<Vec<Json>>(&list.out) else { return Vec::new() };
        let note = |record: &Json| {
            let fields = record["fields"].as_array()?;
            let field = fields.iter().find(|field| field["name"] == "note")?;
            Some(field["text"].as_str()?.to_owned())
        };
        let mut notes: Vec<String> = records.iter().filter_map(note).collect();
        notes.sort();
        notes
    }

    /// Keeps a photo of so many bytes and gives back its name.
    #[track_caller]
    pub(crate) fn photo(&self, seed: u8, size: usize) -> String {
        let file = self.folder.with_extension(format!("{seed}.png"));
        std::fs::write(&file, picture(seed, size)).unwrap();
        let path = file.to_str().unwrap();
        self.run(&["photo", "add", path, "--zone", "Back terrace"]).done();
        let kept = whole_files(&self.folder);
        let found =
            kept.into_iter().find(|path| std::fs::read(path).unwrap() == picture(seed, size));
        std::fs::remove_file(file).unwrap();
        found.expect("it is kept").file_name().unwrap().to_str().unwrap().to_owned()
    }

    /// Whether a file is here whole, byte for byte.
    pub(crate) fn has_whole(&self, seed: u8, size: usize) -> bool {
        let wanted = picture(seed, size);
        whole_files(&self.folder).iter().any(|path| {
            path.metadata().is_ok_and(|m| m.len() == wanted.len() as u64)
                && std::fs::read(path).is_ok_and(|bytes| bytes == wanted)
        })
    }

    /// The bytes of files that are on their way here.
    pub(crate) fn arriving(&self) -> u64 {
        let parts = std::fs::read_dir(self.folder.join("blobs/arriving"));
        let sizes = parts.into_iter().flatten().flatten().filter_map(|part| part.metadata().ok());
        sizes.map(|metadata| metadata.len()).sum()
    }

    #[track_caller]
    pub(crate) fn until(&self, what: &str, holds: impl Fn(&Self) -> bool) {
        // Nobody sends anything: it is only waited for.
        let (_nobody, wait) = mpsc::channel::<()>();
        for _ in 0..PATIENCE.as_millis() / STEP.as_millis() {
            if holds(self) {
                return;
            }
            let _ = wait.recv_timeout(STEP);
        }
        panic!("{what} did not come true: {}", self.run(&["status"]).out);
    }
}

/// Files that arrived or were added, without those on their way.
fn whole_files(folder: &Path) -> Vec<PathBuf> {
    let folders = std::fs::read_dir(folder.join("blobs")).into_iter().flatten().flatten();
    folders
        .filter(|entry| entry.file_name() != "arriving")
        .filter_map(|entry| std::fs::read_dir(entry.path()).ok())
        .flat_map(|files| files.flatten().map(|file| file.path()))
        .collect()
}

/// A tiny picture with as much behind its end as makes it large; cameras write such files too.
fn picture(seed: u8, size: usize) -> Vec<u8> {
    const PNG: &[u8] = &[
        0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 0x0d, 0x49, 0x48, 0x44, 0x52, 0,
        0, 0, 1, 0, 0, 0, 1, 8, 6, 0, 0, 0, 0x1f, 0x15, 0xc4, 0x89, 0, 0, 0, 0x0d, 0x49, 0x44,
        0x41, 0x54, 0x78, 0x9c, 0x63, 0xf8, 0xcf, 0xc0, 0xf0, 0x1f, 0, 5, 0, 1, 0xff, 0x56, 0xc7,
        0x2f, 0x0d, 0, 0, 0, 0, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82,
    ];
    let mut bytes = PNG.to_vec();
    let mut state = u64::from(seed) + 1;
    while bytes.len() < size {
        // xorshift64 (Marsaglia 2003): bytes that do not repeat and do not compress.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        bytes.extend_from_slice(&state.to_le_bytes());
    }
    bytes.truncate(size.max(PNG.len()));
    bytes
}

/// A command that was started.
pub(crate) struct Running {
    pub(crate) child: Child,
    errors: mpsc::Receiver<String>,
    heard: Vec<String>,
}

impl Running {
    fn new(mut child: Child) -> Self {
        let said = BufReader::new(child.stderr.take().unwrap());
        let (lines, errors) = mpsc::channel();
        std::thread::spawn(move || {
            for line in said.lines().map_while(Result::ok) {
                if lines.send(line).is_err() {
                    return;
                }
            }
        });
        Self { child, errors, heard: Vec::new() }
    }

    pub(crate) fn type_in(&mut self, line: &str) {
        writeln!(self.child.stdin.as_mut().unwrap(), "{line}").unwrap();
    }

    /// Waits for a line of standard error that says something.
    #[track_caller]
    pub(crate) fn hear(&mut self, words: &str) -> String {
        loop {
            let line = self.errors.recv_timeout(PATIENCE).unwrap_or_else(|error| {
                panic!("no \"{words}\": {error}; it said {:?}", self.heard)
            });
            self.heard.push(line.clone());
            if line.contains(words) {
                return line;
            }
        }
    }

    /// Asks it to end, as a service is ended.
    #[track_caller]
    pub(crate) fn stop(self) -> Said {
        crate::network::run(&format!("kill -TERM {}", self.child.id()));
        self.end()
    }

    /// Ends it at once, as a power cut does.
    pub(crate) fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Waits for its end.
    pub(crate) fn end(mut self) -> Said {
        drop(self.child.stdin.take());
        let mut out = String::new();
        self.child.stdout.take().unwrap().read_to_string(&mut out).unwrap();
        let code = self.child.wait().unwrap().code().unwrap_or(-1);
        let heard: Vec<String> = self.errors.iter().collect();
        self.heard.extend(heard);
        Said { code, out, err: self.heard.join("\n") }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // It has ended already, unless the test failed.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What a command said and how it ended.
#[derive(Debug)]
pub(crate) struct Said {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Said {
    #[track_caller]
    pub(crate) fn done(self) -> String {
        assert_eq!(self.code, 0, "{}{}", self.out, self.err);
        self.out
    }

    #[track_caller]
    pub(crate) fn json(self) -> Json {
        let text = self.done();
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"))
    }

    #[track_caller]
    pub(crate) fn refused(self) -> String {
        assert_eq!(self.code, 1, "{}{}", self.out, self.err);
        self.err
    }
}

/// Opens an invitation and gives back its text and the command that waits.
#[track_caller]
pub(crate) fn invite(inviter: &Device) -> (String, Running) {
    let mut inviting = inviter.start(&["invite", "--without-asking", "--json"]);
    let line = inviting.hear("\"invitation\"");
    let said: Json = serde_json::from_str(&line).unwrap();
    (said["invitation"]["text"].as_str().unwrap().to_owned(), inviting)
}

/// Pairs two devices; both end with everything exchanged.
#[track_caller]
pub(crate) fn pair(inviter: &Device, guest: &Device) {
    let (code, inviting) = invite(inviter);
    let joined = guest.run(&["join", &code, "--without-asking", "--json"]).json();
    let invited = inviting.end().json();
    // Others may be away.
    for (answer, other) in [(&joined, inviter), (&invited, guest)] {
        let met = answer["pass"]["met"].to_string();
        assert!(met.contains(&other.name), "{answer}");
        let waiting = answer["pass"]["status"]["waiting"].as_array().unwrap();
        let line = waiting.iter().find(|line| line["name"] == other.name.as_str());
        assert_eq!(line.unwrap()["words"], "", "everything was exchanged: {answer}");
    }
}

/// Makes the ground that notes are written on.
#[track_caller]
pub(crate) fn ground(device: &Device) {
    device.run(&["property", "add", "--name", "Kettle Bend", "--ground", "own"]).done();
    device.run(&["zone", "add", "--property", "Kettle Bend", "--name", "Back terrace"]).done();
}
