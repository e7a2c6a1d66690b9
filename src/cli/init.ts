import { resolve } from 'node:path';
import { visible } from '../job/render.ts';
import { starterJob } from '../job/starter.ts';
import { outputProblem, temporaryName, unwritable } from './folder.ts';
import type { Io } from './io.ts';
import { tellProblems } from './report.ts';
import { EXIT, type ExitCode } from './terminal.ts';

/** `kerfwright init`: the starter job into a file, or to stdout when no file (or `-`) is named. */
export function initCommand(io: Io, file: string | undefined, options: { readonly force: boolean }): ExitCode {
  if (file === undefined || file === '-') {
    io.stdout.write(starterJob());
    return EXIT.made;
  }
  const path = resolve(io.cwd, file);
  const temporary = resolve(path, '..', temporaryName(io.random()));
  try {
    const kind = io.files.kindAt(path);
    if (kind === 'folder')
      return refuse(io, outputProblem('output/unwritable', `${visible(file)} is a folder`, 'name a file'));
    if (kind !== undefined && !options.force) {
      return refuse(
        io,
        outputProblem(
          'output/exists',
          `${visible(file)} is there already`,
          'choose another name, or use --force to replace it',
        ),
      );
    }
    io.files.writeNew(temporary, new TextEncoder().encode(starterJob()));
    io.files.rename(temporary, path);
  } catch (thrown) {
    discard(io, temporary);
    return refuse(io, unwritable(file, thrown));
  }
  io.stdout.write(`${visible(file)}\n`);
  io.stderr.write(`next: kerfwright check ${visible(file)}, then kerfwright build ${visible(file)}\n`);
  return EXIT.made;
}

function refuse(io: Io, problem: ReturnType<typeof outputProblem>): ExitCode {
  tellProblems(io, { label: 'kerfwright init', problems: [problem], outcome: 'nothing was written' });
  return EXIT.usage;
}

function discard(io: Io, temporary: string): void {
  try {
    io.files.remove(temporary);
  } catch {
    // It was never made.
  }
}
