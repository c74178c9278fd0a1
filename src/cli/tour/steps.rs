//! What a tour goes through: the commands, how much of their output is shown, and what is said of them.
//!
//! Out: a table in the order of a teacher's work. All lines fit 80 columns; a snapshot in the tests shows them.

/// One step.
pub(super) struct Step {
    /// What it is about.
    pub(super) heading: &'static str,
    /// What the teacher is about to do, before it is done.
    pub(super) before: &'static str,
    pub(super) act: Act,
    /// What happened, in a sentence.
    pub(super) after: &'static str,
}

/// What is done.
pub(super) enum Act {
    /// A command is run, its arguments as they are typed behind the program's name.
    Run(&'static [&'static str], Shown),
    /// The first lines of a file of the folder.
    Look(&'static str, usize),
}

/// How much of a command's output is shown.
pub(super) enum Shown {
    All,
    /// The pieces between empty lines that begin so.
    Pieces(&'static [&'static str]),
}

const FILE: &str = "assignments/tram-1.toml";
const ROSTER: &str = "rosters/demo.csv";

pub(super) const STEPS: &[Step] = &[
    Step {
        heading: "Try the problem",
        before: "A problem is a text file with its equations as on the board. Before it is handed
out, every set of numbers it may draw is solved.",
        act: Act::Run(
            &["check", FILE],
            Shown::Pieces(&["tram-1", "  part  answer  key", "  part  answer  roads"]),
        ),
        after: "Nothing is left to mend, and the program found by itself how each answer leads
to the next: a slip in (a) will be paid for in (a) alone.",
    },
    Step {
        heading: "Hand it out",
        before: "Every student of the class gets numbers of their own.",
        act: Act::Run(
            &["issue", FILE, "--roster", ROSTER, "--out", "papers"],
            Shown::All,
        ),
        after: "The folder `papers` holds what to print, and the record, `paperweight.sqlite`,
keeps who got which numbers: these never change again.",
    },
    Step {
        heading: "The stack comes back",
        before: "What the students wrote was keyed as it stands there, one row a paper.",
        act: Act::Look("answers.csv", 6),
        after: "Units, spellings and mistakes are left as they were written. At the desk you key
the same paper by paper, and see each verdict at once.",
    },
    Step {
        heading: "Mark it",
        before: "",
        act: Act::Run(
            &[
                "mark",
                FILE,
                "--roster",
                ROSTER,
                "--answers",
                "answers.csv",
                "--out",
                "marks.csv",
            ],
            Shown::All,
        ),
        after: "What follows rightly from an earlier slip counts, a fault of the unit costs
once, and what cannot be read in one way only is put before you. Two papers wait
for your look; one of them is settled in a moment, the other is left to you.",
    },
    Step {
        heading: "Why did she get these points?",
        before: "Chiara Donati took the mean speed for the final one in (a), and went on
from it.",
        act: Act::Run(
            &["explain", FILE, "--roster", ROSTER, "--student", "3118"],
            Shown::Pieces(&["(a)", "(b)", "What the student"]),
        ),
        after: "Her own numbers were put through the equations: (b) is right for the speed she
had. The last lines are what she is told.",
    },
    Step {
        heading: "Have the last word",
        before: "Imani Okafor's (c) is smudged, so her paper waits for you. You make it out.",
        act: Act::Run(
            &[
                "adjust",
                FILE,
                "--student",
                "3142",
                "--part",
                "c",
                "--points",
                "3",
                "--note",
                "24.5 s can be made out",
            ],
            Shown::All,
        ),
        after: "Your points stand whatever the program proposes, and the note stays with you.",
    },
    Step {
        heading: "Who was absent gets another paper",
        before: "Keiko Arai was ill that day, which is not 0.",
        act: Act::Run(
            &[
                "reissue", FILE, "--roster", ROSTER, "--absent", "--out", "papers",
            ],
            Shown::All,
        ),
        after: "Her second paper has numbers that nobody has; it is owed until it comes back.",
    },
    Step {
        heading: "A gradebook that is kept elsewhere",
        before: "This stands for the file that your school's system gives out.",
        act: Act::Look("gradebook.csv", 5),
        after: "The column `tram-1` is there and empty.",
    },
    Step {
        heading: "Fill the column",
        before: "",
        act: Act::Run(&["export", FILE, "--into", "gradebook.csv"], Shown::All),
        after: "One cell for each finished paper: who is absent, excused or still to look at
has none, and every other byte of the file is as it was.",
    },
    Step {
        heading: "Afterwards",
        before: "",
        act: Act::Look("gradebook.csv", 5),
        after: "The file goes back into the school's system as it is.",
    },
    Step {
        heading: "What to teach again",
        before: "",
        act: Act::Run(
            &["report", FILE],
            Shown::Pieces(&["A tram", "Totals", "To go over"]),
        ),
        after: "The report names nobody; what two papers share may be worth a word in class.",
    },
];

/// Said before the first step.
pub(super) const WELCOME: &str = "\
Marking a test from the class list to the gradebook, with a class of 20 that was
made up. Each step shows what you would type, does just that in this folder, and
touches nothing outside it.";

/// Said at the end, before what to type.
pub(super) const WHAT_LIES_THERE: &str =
    "  assignments/tram-1.toml  the problem, a text file to change as you like
  rosters/demo.csv         the class list
  papers/                  everyone's numbers, and what to print
  answers.csv              what was keyed of the stack
  marks.csv                a row for each student, with what they are told
  gradebook.csv            the gradebook, its column filled
  paperweight.sqlite       the record: handed out, keyed and adjusted";

/// Said at the end, after how to open the desk.
pub(super) const WHAT_NEXT: &str = "\
For a class of your own make a folder with two in it, `assignments` and
`rosters`, and put a class list into the second (a CSV file, `id,name` will do).
There

  paperweight new --list
  paperweight new --from tram-1
  paperweight issue assignments/CODE.toml --roster rosters/CLASS.csv \\
      --out papers

show the shelf, copy a problem from it, and hand it out. `paperweight --help`
has the rest. Delete the folder of the tour when you are done with it.";
