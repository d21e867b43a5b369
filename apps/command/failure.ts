/** Something that whoever typed the command can mend; printed without a stack. */
export class CommandFailure extends Error {}

/**
 * Runs a command to its end, and turns its failure into a sentence on standard error and an exit status. Asked with --help, it
 * shows how to use it instead.
 */
export function runCommand(command: () => Promise<void>, usage?: string): void {
  const isAskedForHelp = usage !== undefined && process.argv.slice(2).includes('--help');
  const work = isAskedForHelp ? async () => say(usage) : command;
  work().then(
    // Said outright: a forgotten handle must not keep the terminal waiting.
    () => process.exit(process.exitCode ?? 0),
    (error: unknown) => {
      process.stderr.write(`${error instanceof CommandFailure ? error.message : error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`);
      process.exit(1);
    },
  );
}

export function say(line: string): void {
  process.stdout.write(`${line}\n`);
}
