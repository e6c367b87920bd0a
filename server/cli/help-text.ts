/** What the command line can do. A command that is not in this list does not exist. */
export const commandNames = ['check', 'compare', 'mend', 'report', 'merge', 'explain', 'new-setup', 'prove-machine', 'serve', 'clear-cache'] as const

export type CommandName = typeof commandNames[number]

const overview = `toolwake checks posted five-axis NC programs against the part's mesh, block by block.

  toolwake check PROGRAM...   say what is wrong, with line, depth or clearance, and proven bound
  toolwake compare OLD NEW    what an edit changes in motion, feeds, speeds, clearances and findings
  toolwake mend PROGRAM       write a corrected program, and say what was changed and proven
  toolwake report PROGRAM     the release record: one page with findings, figures, pictures, hashes, and a place to sign
  toolwake merge SARIF...     the SARIF of several runs as one
  toolwake explain [RULE]     a rule's page; without a name, the list of rules
  toolwake new-setup PROGRAM  a setup sheet started from the program
  toolwake prove-machine FILE what a machine file says, in values the machine's display can be held against
  toolwake serve --stdio      the language server, for an editor
  toolwake clear-cache        remove the results that were kept for the next time
  toolwake --help, --version

"toolwake check --help" lists what check takes.
`

const check = `toolwake check PROGRAM... [options]

  PROGRAM              an NC program; several may be named; a folder stands for the programs in it and below
                       (.nc, .cnc, .ngc, .tap), a pattern with * and ** for those that fit; - reads standard input
  --setup FILE         the setup sheet; without it, the sheet that names the program, beside it or in
                       the folders above it up to the working folder
  --setup-for PROGRAM=SHEET
                       the sheet of one of the programs; may be given for each of them
  --format text|sarif  for reading (default), or SARIF 2.1.0 for other programs
  --output FILE        write the findings to FILE instead of standard output
  --fail-on LEVEL      exit with 1 from this level on: error (default), warning or note
  --only RULE,...      report these rules alone; what was found besides is counted at the end
  --blocks FROM..TO    search and report these blocks alone: N100..N400 are sequence numbers,
                       100..400 are lines of the file; either end may be left out
  --fixes              with --format sarif: work out and prove what would mend each finding; takes longer
  --threads N          threads for the contact search (default: as many as the computer has, at most 8);
                       the result does not depend on it
  --memory MB          memory that meshes may take; one that does not fit is not opened, which is said
                       (default: as much as there is)
  --no-cache           work everything out anew and keep nothing; the result does not depend on it
  --no-progress        no progress line on the terminal
  --baseline FILE      findings of this SARIF file are known: only new and graver ones fail. Every result says
                       whether it is new, unchanged, updated or absent
  --write-baseline FILE  write down the findings of this run as known, and do not fail for them
  --changed-since REV  only programs that differ from this revision of git, or whose sheet, machine file, meshes
                       or called programs do
  --shard I/N          the I-th of N equal shares of the programs; "toolwake merge" puts their SARIF together

A finding accepted by a comment in the program never fails the check. A finding that the proven bounds
cannot decide counts at the level it would have if it were true.

Exit codes: 0 nothing at or above --fail-on, 1 something was, 2 the call or a program cannot be used,
3 a fault of toolwake's own, 130 stopped with Ctrl-C (nothing is then reported).
`

const mend = `toolwake mend PROGRAM --output FILE [options]

  PROGRAM              an NC program; - reads one from standard input
  --output FILE        where the mended program is written; - is standard output (what was changed then goes
                       to standard error). PROGRAM itself is written over only where it is named here again
  --setup FILE         the setup sheet; found as "check" finds it
  --setup-output FILE  where the sheet is written with the longer stick-outs that would end what no path can
  --format text|sarif  how what was changed and what still stands is told
  --fail-on LEVEL      exit with 1 where the mended program still has something from this level on
  --threads N, --memory MB, --no-cache
                       as of "check"
  --no-progress        no progress line on the terminal

Cuts that are too deep, and necks, shanks and holders that come too near, are corrected by the least change
of the blocks concerned. Each correction is read, run and searched again before it counts, and is left out
where anything else would become worse. Other faults stay as they are and are told.

Exit codes: those of "check", for the mended program.
`

const report = `toolwake report PROGRAM --output FILE.html [options]

  PROGRAM              an NC program; - reads one from standard input
  --output FILE        where the record is written; - is standard output
  --setup FILE         the setup sheet; found as "check" finds it
  --fail-on LEVEL      exit with 1 where something is found from this level on: error (default), warning or note
  --threads N, --memory MB, --no-cache
                       as of "check"
  --no-progress        no progress line on the terminal

Checks the program and writes its release record: one HTML page that needs nothing besides itself, for the screen
and for paper. It says what was checked with which bound and what was not, the hashes of all files, the findings by
cause with pictures, what was accepted and why, tools, axes, time and cautions, and leaves a place to sign.
The SARIF of the check stands in it as JSON (script element "toolwake-sarif"). The same files give the same bytes.

Exit codes: as those of check.
`

const compare = `toolwake compare OLD NEW [options]

Says what the edit from OLD to NEW changes. Blocks are matched by their motion: numbers, comments, blanks and
the way words are written are no change. Both programs are checked with one sheet: the one of NEW, else that of OLD.

  --setup FILE         the setup sheet of both
  --format text|sarif  for reading (default), or SARIF 2.1.0: the findings of NEW with what is new, unchanged,
                       updated and absent, and the changes in properties.toolwake.comparison
  --output FILE        write to FILE instead of standard output
  --fail-on LEVEL      exit with 1 where a finding from this level on is new or has become graver: error
                       (default), warning or note. A change in motion alone never fails
  --threads N, --memory MB, --no-cache
                       as of "check"
  --no-progress        no progress line on the terminal

Exit codes: as those of check.
`

const merge = `toolwake merge SARIF... [options]

Puts SARIF files of "toolwake check" together, such as those of its shards. The result does not depend on the
order in which they are named: it is the file that one run over all their programs writes, in the order of their names.

  --output FILE      write to FILE instead of standard output
  --fail-on LEVEL    exit with 1 from this level on: error (default), warning or note; where the files were held
                     against a baseline, only for what is new or has become graver

Exit codes: as those of check; 2 also where a file cannot be used, or two of them differ about a program.
`

const explain = `toolwake explain [RULE]

Prints the page of a rule: what it finds, why it matters at the machine, what to do instead, with
examples. Without a name it lists the rules.
`

const newSetup = `toolwake new-setup PROGRAM [options]

Starts a setup sheet from the program: its tools with their H and D numbers, its work offsets, its unit and
how far it reaches. At a terminal it asks what only people know, with a value to begin with where the program or the
folder suggests one; "." ends the questions at any time. What is not answered stands in the sheet as null, marked
FILL IN; a check reports each of them until it is filled in.

  --output FILE  where to write the sheet instead of beside the program; - for standard output
  --force        write over a sheet that is already there
  --blank        ask nothing

Exit codes: 0 written, 2 the call or the program cannot be used, 3 a fault of toolwake's own.
`

const proveMachine = `toolwake prove-machine FILE.machine.json [options]

Shows what a machine file says of the machine: the tool point held at one place while the tool is leaned, with every
way the rotary axes can do it and all axis values, which the machine's own display must show too. Touch one and the same
place on the work with the rotary axes in several positions, and the file is held against what was measured.

  --touch "X.. A.."  the machine's axis values at one touch, mm and degrees, machine coordinates; given once a touch.
                     An axis that is not named stands at 0
  --length MM        gauge point to the tool point, or to the middle of the probe's ball (default 0)
  --within MM        how far apart the touches may put the place (default 0.02)
  --at "X.. A.."     the axis values of program zero (default: every axis at 0)

Exit codes: 0 nothing speaks against the file, 1 the touches lie farther apart or the file has faults, 2 the call or the
file cannot be used. What was not measured is not proven.
`

const serve = `toolwake serve --stdio

Runs the language server over standard input and output, for any editor that speaks the Language
Server Protocol.
`

const clearCache = `toolwake clear-cache

Removes what checks have kept to be faster the next time: meshes made ready for the search, and figures of
programs. They lie in the user's cache folder and never change what is found.
`

export function helpText(command: CommandName | undefined): string {
  return command === undefined ? overview : { check, compare, mend, report, merge, explain, 'new-setup': newSetup, 'prove-machine': proveMachine, serve, 'clear-cache': clearCache }[command]
}
