/** Help texts behind the lists of options: written, not generated; every number with its unit and default. */

const EXIT_CODES = `
Exit codes:
  0   made, or nothing to complain of
  1   a job has problems; nothing of that job was written
  2   usage, a file that cannot be read, an output that cannot be written
  70  a fault of this program`;

/** Of commands that read jobs and write none. */
const READING_CODES = `
Exit codes:
  0   nothing to complain of; warnings do not count
  1   a job has problems
  2   usage, or a file that cannot be read
  70  a fault of this program`;

/** Of commands that read no job. */
const WRITING_CODES = `
Exit codes:
  0   written
  2   usage, or an output that cannot be written
  70  a fault of this program`;

export const AFTER_MAIN = `
Begin with:
  kerfwright init bracket.yaml      a commented job to change
  kerfwright check bracket.yaml     what is wrong with it, and every setting
  kerfwright solve bracket.yaml     lengths, angles and cuts
  kerfwright build bracket.yaml     the tools, into out/<job name>/
  kerfwright watch bracket.yaml     the same again whenever the job is saved

stdout carries the product (files written, tables, JSON), stderr all else.
Color only on a terminal; NO_COLOR and TERM=dumb turn it off.
${EXIT_CODES}

A printed guide is not a blade guard and does not replace one. Clamp the work,
keep hands off the feed line, check every dimension before cutting good tube.`;

export const AFTER_BUILD = `
Each job goes into <out>/<job name>/: an STL for each printed part, a 3MF for
each tool, and manifest.json with hashes and what was measured on every part.
Nothing of a job is written unless all of it was made and proved. Files that
are the same already are not touched. Tools that are no longer made are removed
if they are still as we wrote them. A file in the way that this program did not
make, or that was changed since, stops the build (exit 2) unless --force.
With --only, files of other tools stay as they are.

Files are written beside their place as .kerfwright-*.part and renamed, so a
slicer that watches the folder never sees half a file; names stay the same from
build to build. Links are replaced, never followed.

With --flat the files of all jobs lie in <out> itself, as <job>-<file> with a
<job>.manifest.json for each: for a slicer that opens one folder.

Only what changed is made: a tool is kept, neither computed nor touched, when
nothing it depends on has changed and its files are as they were written. The
run ends with what was made, kept and removed and what to print again: the old
and the new revision and the dimensions that moved. One job that fails stops no
other. --threads and --shard change no byte of any file; --plate makes all.

Numbers a job may set, with their defaults (kerfwright check shows yours):
  shop.printer.bed        220 x 220 x 250 mm   usable bed and height
  shop.printer.nozzle     0.4 mm
  shop.printer.layer      0.2 mm
  shop.fit.slide          0.3 mm    radial clearance between print and tube
  shop.wall               4 mm      printed wall, 2.4 mm or more
  shop.strap.width        5 mm      strap or cable tie
  shop.strap.thickness    2 mm
  shop.chord-tolerance    0.01 mm   facets to true curve
  shop.saws.NAME.kerf     1.2 mm vertical-band, 2.4 mm top-down
  shop.saws.NAME.blade    0.9 mm vertical-band, 2 mm top-down
  shop.saws.NAME.clearance  0.3 mm vertical-band, 0.4 mm top-down, both sides
A bare number is in the job's units (default mm); 57.15mm, 2-1/4in carry theirs.
SOURCE_DATE_EPOCH (seconds) puts a creation date into 3MF files; otherwise none.

Examples:
  kerfwright build rail.yaml
  kerfwright build jobs/ --out ~/prints --format 3mf
  kerfwright build rail.yaml --only "*-saw-guide" --set shop.fit.slide=0.35mm
  kerfwright build rail.yaml --plate
  kerfwright build "catalog/**/*.yaml" --threads 8
  kerfwright build - --json < rail.yaml
  seq 4 | xargs -P 4 -I % kerfwright build jobs/ --shard %/4 --threads 1
  kerfwright build rail.yaml --only post-end-saw-guide --format stl --stdout \\
    > guide.stl
${EXIT_CODES}`;

export const AFTER_WATCH = `
Only what a saved change touches is made again; the rest is kept as it stands.
A job with problems keeps its last good files. Folders and patterns take in new
job files as they appear; a job file that goes away keeps its tools. Ctrl-C
stops (exit 130). What is written, and how, is the same as for build.

With --json each event is one line on stdout: "job" when one was built or has
problems (the row of it that build --json prints, and "lastGood", the folder
whose files stay), "watching" once all are built the first time, "gone" when a
job file goes away, "stopped" at the end. kerfwright schema watch describes it.

Examples:
  kerfwright watch rail.yaml
  kerfwright watch jobs/ --out ~/prints --format 3mf
  kerfwright watch rail.yaml --json | jq -r 'select(.event == "job")
    | .printAgain[]?.name'

Exit codes:
  2   usage: nothing to watch, or an option that is not known
  70  a fault of this program
  130 stopped with Ctrl-C`;

export const AFTER_CHECK = `
Shows every setting of the shop and whether it came from the file, from --set or
is a default; each member with its section, bends and centerline length; the cut
ends; and the tools that build would make. Warnings do not fail. In the JSON
lengths are mm and angles degrees.

--set takes a path of names and places, counted from 0 in lists, and a value as
it would stand in the file: joints.1.cope.gap=1mm, tools=auto.

Examples:
  kerfwright check rail.yaml
  kerfwright check jobs/ --json
  kerfwright check "catalog/**/*.yaml" --quiet
  kerfwright check rail.yaml --set sections.tube.wall=16bwg
  kerfwright check - < rail.yaml
${READING_CODES}`;

export const AFTER_SOLVE = `
For each piece: stock and short length; for each end the angle from square, long
and short point, marks within a bend, or the ordinates of a curved cut at every
45 degrees; straights, turns and bends for the bender; corner points. For merges
the bore areas and what the trunk leaves open. Lengths in the job's units,
inches also to the nearest 64th. In the JSON: mm, degrees and mm^2.

A miter is drawn from the side; a curved cut once round the tube, unrolled, the
tube you keep below it; to scale but for deep ones. With a locale of UTF-8 in
braille signs, else in ASCII.

Examples:
  kerfwright solve rail.yaml
  kerfwright solve rail.yaml --set members.rail.run.0.straight=250mm
  kerfwright solve rail.yaml --quiet | less
  kerfwright solve rail.yaml --json | jq '.jobs[0].pieces[].stockLength'
${READING_CODES}`;

export const AFTER_COMPLETION = `
The script completes commands, options, formats and job files. Put it where the
shell looks for it, then begin a new shell; for zsh the folder must be in $fpath
before compinit runs.

Examples:
  mkdir -p ~/.local/share/bash-completion/completions
  kerfwright completion bash \\
    > ~/.local/share/bash-completion/completions/kerfwright
  kerfwright completion zsh > ~/.zfunc/_kerfwright
  kerfwright completion fish > ~/.config/fish/completions/kerfwright.fish
${WRITING_CODES}`;

export const AFTER_INIT = `
The job is a lamp bracket with two sections, three members, a miter, a cope and
a trim; it builds as it is. Change names and numbers, or take parts away. A file
that is there already is left alone (exit 2) unless --force.

Examples:
  kerfwright init bracket.yaml
  kerfwright init > bracket.yaml
  kerfwright init | kerfwright check -
${WRITING_CODES}`;

export const AFTER_SCHEMA = `
Schemas are of JSON Schema, draft 2020-12:
  job        a job file, for editors
  build, check, solve   what these commands print with --json
  watch      each line that watch --json prints
  cut-list   the cut list that build --format json writes
  manifest   the manifest.json of a job's folder
The same files are in the package, in dist/schemas.

Editors that read a modeline take the job's from the first line of the job:
  # yaml-language-server: $schema=./kerfwright.schema.json

Examples:
  kerfwright schema > kerfwright.schema.json
  kerfwright schema solve > solve.schema.json
${WRITING_CODES}`;
