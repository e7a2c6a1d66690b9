import type { Command, Option } from 'commander';
import type { Io } from './io.ts';
import { EXIT, type ExitCode } from './terminal.ts';

export const SHELLS = ['bash', 'zsh', 'fish'] as const;
export type Shell = (typeof SHELLS)[number];

/** What can be typed: taken from the command line's own definition, so that the scripts never fall behind it. */
interface Words {
  readonly name: string;
  readonly summary: string;
  readonly options: readonly OptionWords[];
  /** Fixed words that its argument takes; without any it takes files. */
  readonly choices: readonly string[];
  readonly takesFiles: boolean;
}

interface OptionWords {
  readonly long: string;
  readonly short?: string;
  readonly description: string;
  readonly takesValue: boolean;
  readonly takesFolder: boolean;
}

/** `kerfwright completion bash`: a script for the shell, on stdout. */
export function completionCommand(io: Io, program: Command, shell: Shell): ExitCode {
  const commands = program.commands.map(wordsOf);
  const script = { bash: bashScript, zsh: zshScript, fish: fishScript }[shell];
  io.stdout.write(script(commands));
  return EXIT.made;
}

function wordsOf(command: Command): Words {
  const [argument] = command.registeredArguments;
  return {
    name: command.name(),
    summary: command.summary(),
    options: [...command.options.map(optionWords), HELP],
    choices: argument?.argChoices ?? [],
    takesFiles: argument !== undefined && argument.argChoices === undefined,
  };
}

const HELP: OptionWords = {
  long: '--help',
  short: '-h',
  description: 'print this help',
  takesValue: false,
  takesFolder: false,
};

const optionWords = (option: Option): OptionWords => ({
  long: option.long ?? '',
  ...(option.short ? { short: option.short } : {}),
  description: option.description,
  takesValue: option.required,
  takesFolder: option.flags.includes('<dir>'),
});

/** A text between single quotes, as all three shells read it. */
const quoted = (text: string): string => `'${text.replaceAll("'", String.raw`'\''`)}'`;

const FILES = 'a job file is .yaml or .yml';

function bashScript(commands: readonly Words[]): string {
  const cases = commands.map(({ name, options, choices, takesFiles }) => {
    const valued = options.filter((option) => option.takesValue && !option.takesFolder).map(({ long }) => long);
    const folders = options
      .filter((option) => option.takesFolder)
      .flatMap(({ long, short }) => (short ? [long, short] : [long]));
    const words = [...options.map(({ long }) => long), ...choices].join(' ');
    return [
      `    ${name})`,
      ...(folders.length > 0
        ? [`      case "$previous" in ${folders.join('|')}) COMPREPLY=($(compgen -d -- "$current")); return ;; esac`]
        : []),
      ...(valued.length > 0 ? [`      case "$previous" in ${valued.join('|')}) return ;; esac`] : []),
      `      if [[ "$current" == -* || ${takesFiles ? 0 : 1} == 1 ]]; then COMPREPLY=($(compgen -W ${quoted(words)} -- "$current")); return; fi`,
      ...(takesFiles
        ? ['      COMPREPLY=($(compgen -d -- "$current") $(compgen -f -X "!*.@(yaml|yml)" -- "$current"))']
        : []),
      '      ;;',
    ].join('\n');
  });
  const names = [...commands.map(({ name }) => name), 'help', '--help', '--version'].join(' ');
  return `# bash completion for kerfwright; ${FILES}
_kerfwright() {
  local current="\${COMP_WORDS[COMP_CWORD]}" previous="\${COMP_WORDS[COMP_CWORD-1]}"
  COMPREPLY=()
  if [[ $COMP_CWORD == 1 ]]; then COMPREPLY=($(compgen -W ${quoted(names)} -- "$current")); return; fi
  shopt -q extglob || { shopt -s extglob; local restore=1; }
  case "\${COMP_WORDS[1]}" in
    help) COMPREPLY=($(compgen -W ${quoted(commands.map(({ name }) => name).join(' '))} -- "$current")) ;;
${cases.join('\n')}
  esac
  [[ -z $restore ]] || shopt -u extglob
}
complete -o filenames -F _kerfwright kerfwright
`;
}

function zshScript(commands: readonly Words[]): string {
  // In zsh a colon parts name and description, and brackets hold it.
  const plain = (text: string): string => text.replaceAll(/[[\]:]/g, ' ');
  const cases = commands.map(({ name, options, choices, takesFiles }) => {
    const specs = options.map(({ long, description, takesValue, takesFolder }) =>
      quoted(`*${long}[${plain(description)}]${takesFolder ? ':folder:_files -/' : takesValue ? ':value: ' : ''}`),
    );
    const rest = takesFiles ? quoted('*:job:_files -g "*.(yaml|yml)(-.)"') : quoted(`*:word:(${choices.join(' ')})`);
    return `    ${name}) _arguments ${[...specs, rest].join(' ')} ;;`;
  });
  return `#compdef kerfwright
# zsh completion for kerfwright; ${FILES}
_kerfwright() {
  if (( CURRENT == 2 )); then
    local -a commands=(${commands.map(({ name, summary }) => quoted(`${name}:${plain(summary)}`)).join(' ')})
    _describe command commands
    return
  fi
  local command=$words[2]
  shift words
  (( CURRENT-- ))
  case $command in
${cases.join('\n')}
  esac
}
if [[ $zsh_eval_context[-1] == loadautofunc ]]; then _kerfwright "$@"; else compdef _kerfwright kerfwright; fi
`;
}

function fishScript(commands: readonly Words[]): string {
  const lines = commands.flatMap(({ name, summary, options, choices, takesFiles }) => {
    const when = `-n ${quoted(`__fish_seen_subcommand_from ${name}`)}`;
    return [
      `complete -c kerfwright -n __fish_use_subcommand -f -a ${name} -d ${quoted(summary)}`,
      ...options.map(({ long, short, description, takesValue, takesFolder }) =>
        [
          `complete -c kerfwright ${when} -l ${long.slice(2)}`,
          ...(short ? [`-s ${short.slice(1)}`] : []),
          ...(takesFolder ? ["-x -a '(__fish_complete_directories)'"] : takesValue ? ['-x'] : []),
          `-d ${quoted(description)}`,
        ].join(' '),
      ),
      ...(choices.length > 0 ? [`complete -c kerfwright ${when} -f -a ${quoted(choices.join(' '))}`] : []),
      ...(takesFiles
        ? [`complete -c kerfwright ${when} -k -a '(__fish_complete_suffix .yaml; __fish_complete_suffix .yml)'`]
        : []),
    ];
  });
  return `# fish completion for kerfwright; ${FILES}\n${lines.join('\n')}\n`;
}
