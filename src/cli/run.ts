import { Argument, Command, CommanderError, Help, Option } from 'commander';
import { tellFault } from './fault.ts';
import { FORMATS } from './formats.ts';
import {
  AFTER_BUILD,
  AFTER_CHECK,
  AFTER_COMPLETION,
  AFTER_INIT,
  AFTER_MAIN,
  AFTER_SCHEMA,
  AFTER_SOLVE,
  AFTER_WATCH,
} from './help.ts';
import { type Io, nodeIo } from './io.ts';
import { parseFormats, parseShard, parseThreads } from './option-values.ts';
import { SCHEMA_NAMES, type SchemaName, schemaCommand } from './schema.ts';
import { colored, EXIT, type ExitCode } from './terminal.ts';
import { programVersion } from './version.ts';

/**
 * Runs one command line (without node and the script's name) and tells the exit code: 0 made, 1 the job has problems,
 * 2 usage, unreadable file or unwritable output, 70 a bug, 130 a watch that was stopped. Throws nothing.
 */
export async function run(argv: readonly string[], io: Io = nodeIo()): Promise<number> {
  let code = await runGuarded(argv, io);
  const failure = await io.drained();
  if (failure !== undefined) {
    io.stderr.write(`kerfwright: standard output: ${failure}\n`);
    code = Math.max(code, EXIT.usage);
  }
  return code;
}

async function runGuarded(argv: readonly string[], io: Io): Promise<number> {
  let code: ExitCode = EXIT.made;
  const program = commandLine(io, (result) => {
    code = result;
  });
  try {
    await program.parseAsync(argv, { from: 'user' });
    return code;
  } catch (thrown) {
    if (thrown instanceof CommanderError) return thrown.exitCode === 0 ? EXIT.made : EXIT.usage;
    return tellFault(io, thrown);
  }
}

type Done = (code: ExitCode) => void;

function commandLine(io: Io, done: Done): Command {
  const program = new Command('kerfwright')
    .description(
      'Makes printable saw guides, gauges, notch collars and fit-up fixtures for tube work from one YAML job file, with templates, flat parts and a cut sheet.',
    )
    .version(programVersion(), '-V, --version', 'print the version')
    .helpOption('-h, --help', 'print this help')
    .helpCommand('help [command]', 'print the help of a command')
    .exitOverride()
    .configureHelp({ optionDescription: describeOption })
    .showHelpAfterError('(kerfwright --help lists commands and options)')
    .configureOutput({
      writeOut: (text) => io.stdout.write(text),
      writeErr: (text) => io.stderr.write(text),
      getOutHelpWidth: () => 80,
      getErrHelpWidth: () => 80,
      getOutHasColors: () => colored(io, io.stdout),
      getErrHasColors: () => colored(io, io.stderr),
    })
    .addHelpText('after', AFTER_MAIN);
  addBuild(program, io, done);
  addReading(program, io, done);
  addWriting(program, io, done);
  return program;
}

/** That a switch is off where it is not given goes without saying. */
const describeOption = (option: Option): string =>
  new Help().optionDescription(option).replace(/ \(default: false\)$/, '');

const collect = (value: string, before: readonly string[]): readonly string[] => [...before, value];
const setOption = (): Option =>
  new Option('--set <path=value>', 'put a value over the file, e.g. sections.leg.od=2.5in; repeat it for more')
    .argParser(collect)
    .default([], 'none');

/** What build and watch have in common. */
const makingOptions = (command: Command): Command =>
  command
    .option('-o, --out <dir>', 'folder that gets a folder for each job, named after the job', 'out')
    .addOption(
      new Option('--only <glob>', 'only tools whose name matches, e.g. "leg-*"; repeat it for more')
        .argParser(collect)
        .default([], 'all'),
    )
    .addOption(setOption())
    .addOption(
      new Option('--format <list>', `file formats, of ${FORMATS.join(', ')}, with commas`)
        .argParser(parseFormats)
        .default(['stl', '3mf', 'dxf'], 'stl,3mf, and dxf of flat parts'),
    )
    .addOption(
      new Option(
        '--threads <n>',
        'threads that make tools; the files are the same with any number (default: as many as the machine has cores, 4 at most)',
      )
        .argParser(parseThreads)
        .default(undefined, 'up to 4, as the machine has'),
    )
    .option('--flat', 'all files into one folder, the name of the job before each', false)
    .option('--plate', 'also a 3MF of all tools laid out on the bed', false)
    .option('-q, --quiet', 'nothing on stderr but problems', false);

function addBuild(program: Command, io: Io, done: Done): void {
  const build = program
    .command('build')
    .summary('make the tools of a job: STL and 3MF files, proved, with a manifest')
    .description('Makes the printed tools of each job file into a folder of its own.')
    .argument('<job...>', 'job files, folders of them (every .yaml and .yml in it), patterns, or - for stdin');
  makingOptions(build)
    .addOption(
      new Option(
        '--shard <i/n>',
        'only the i-th of n parts of the jobs: every n-th, beginning with the i-th (default: all)',
      )
        .argParser(parseShard)
        .default(undefined, 'all'),
    )
    .option('--force', 'replace files in the way that this program did not make', false)
    .option('--stdout', 'write the one file of one tool to standard output and nothing else', false)
    .option('-n, --dry-run', 'make and prove everything, write nothing, tell what would be written', false)
    .option('--json', 'one JSON document on stdout instead of the list of files', false)
    .addHelpText('after', AFTER_BUILD)
    .action(async (args: string[], options) => {
      const { buildCommand } = await import('./build.ts');
      done(await buildCommand(io, args, options));
    });
  const watch = program
    .command('watch')
    .summary('build, and build again whenever a job file is saved')
    .description('Builds each job file, then again whenever it is saved, until Ctrl-C.')
    .argument('<job...>', 'job files, folders of them, or patterns');
  makingOptions(watch)
    .option('--json', 'one JSON event a line on stdout instead of the list of files', false)
    .addHelpText('after', AFTER_WATCH)
    .action(async (args: string[], options) => {
      const { watchCommand } = await import('./watch.ts');
      done(await watchCommand(io, args, options));
    });
}

function addReading(program: Command, io: Io, done: Done): void {
  const reading = (
    name: 'check' | 'solve',
    texts: { summary: string; description: string; quiet: string; after: string },
  ): Command =>
    program
      .command(name)
      .summary(texts.summary)
      .description(texts.description)
      .argument('<job...>', 'job files, folders of them, patterns, or - for standard input')
      .addOption(setOption())
      .option('-q, --quiet', texts.quiet, false)
      .option('--json', 'one JSON document on stdout', false)
      .addHelpText('after', texts.after);
  reading('check', {
    summary: 'find what is wrong with a job; show settings, layout and tools',
    description: 'Reads and solves each job file and writes no file.',
    quiet: 'only what is wrong',
    after: AFTER_CHECK,
  }).action(async (args: string[], options) => {
    const { checkCommand } = await import('./check.ts');
    done(await checkCommand(io, args, options));
  });
  reading('solve', {
    summary: 'print every length, angle and cut of a job',
    description: 'Prints the cut table of each job file: stock, miters, marks in bends, ordinates, bending.',
    quiet: 'numbers only, no drawings of the cuts',
    after: AFTER_SOLVE,
  }).action(async (args: string[], options) => {
    const { solveCommand } = await import('./solve.ts');
    done(await solveCommand(io, args, options));
  });
}

function addWriting(program: Command, io: Io, done: Done): void {
  program
    .command('init')
    .summary('write a commented job file to begin with')
    .description('Writes a commented job file to begin with.')
    .argument('[file]', 'file to write; without it, or with -, the job goes to stdout')
    .option('--force', 'replace the file if it is there', false)
    .addHelpText('after', AFTER_INIT)
    .action(async (file: string | undefined, options) => {
      const { initCommand } = await import('./init.ts');
      done(initCommand(io, file, options));
    });
  program
    .command('completion')
    .summary('print a script that completes commands and options in a shell')
    .description('Prints a completion script for a shell on stdout.')
    .addArgument(new Argument('<shell>', 'the shell that reads it').choices(['bash', 'zsh', 'fish']))
    .addHelpText('after', AFTER_COMPLETION)
    .action(async (shell: 'bash' | 'zsh' | 'fish') => {
      const { completionCommand } = await import('./completion.ts');
      done(completionCommand(io, program, shell));
    });
  program
    .command('schema')
    .summary('print the JSON Schema of a job file, or of what this program writes')
    .description('Prints a JSON Schema on stdout.')
    .addArgument(new Argument('[name]', 'of which document').choices(SCHEMA_NAMES).default('job'))
    .addHelpText('after', AFTER_SCHEMA)
    .action(async (name: SchemaName) => {
      done(await schemaCommand(io, name));
    });
}
