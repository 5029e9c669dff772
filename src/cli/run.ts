import { join } from 'node:path';
import { Command, CommanderError } from 'commander';
import type { At } from './at.js';
import type { DoneOptions } from './done.js';
import type { FeedOptions } from './feed.js';
import type { ImportOptions } from './import.js';
import { BadInput, exitStatus, type Output, oneLineErrors, openTerminal, reportFailure } from './output.js';
import type { ReadingOptions } from './reading.js';
import type { RehearseOptions } from './rehearse.js';
import type { SpendingOptions } from './spending.js';
import type { StatusOptions } from './status.js';

/** What a file to import looks like. */
const importExample = `
Readings, one a line (or at in place of day, with a time; note may follow):
  day,hours
  2026-03-14,371.4
  2026-04-05,379.8

Old records, by the ids of the tasks (hours and note may be left out; paid, currency and paid_for may be added):
  day,hours,tasks,note
  2025-09-20,352,engine-oil air-filter,from the bill`;

/** Runs one command (only its own code is loaded, so that a small computer answers soon) and answers its exit status: 0 fine, 1 the work failed, 2 bad use or bad input. */
export async function run(argv: readonly string[], output: Output = openTerminal()): Promise<number> {
  const out = oneLineErrors(output);
  let status: number = exitStatus.fine;
  const program = new Command('shedbell');
  const at = (): At => ({ home: program.opts<{ home?: string }>().home, now: program.opts<{ now?: string }>().now });
  const act =
    <A extends readonly unknown[]>(work: (...args: A) => number | Promise<number>) =>
    async (...args: A) => {
      try {
        status = await work(...args);
      } finally {
        await leaveWritten(at());
      }
    };

  program
    .description('Knows the engine hours of small machines at home and reminds in time of their services.')
    .option('--home <dir>', 'home folder (default: SHEDBELL_HOME, then ./shed)')
    .option('--now <instant>', 'take this instant for now, such as 2026-05-03T16:40:00Z')
    .showSuggestionAfterError(false)
    .configureOutput({ writeOut: (text) => out.line(text.trimEnd()), writeErr: () => undefined })
    .exitOverride();

  program
    .command('init <dir>')
    .description('write a commented home folder')
    .action(act(async (dir: string) => (await import('./init.js')).runInit(plain(dir), out, at().now)));
  program
    .command('check')
    .description('every error in the home folder, with its file and line')
    .action(act(async () => (await import('./check.js')).runCheck(at(), out)));
  program
    .command('start')
    .description('run the service')
    .action(act(async () => (await import('./start.js')).runStart(at(), out)));
  program
    .command('demo')
    .description('the demo household, alive, on an embedded broker')
    .action(act(async () => (await import('./demo.js')).runDemo(at(), out)));
  program
    .command('status [machine]')
    .description('hours now and what comes next; of one machine, every task')
    .option('--all', 'every task of every machine')
    .option('--json', 'every task, for scripts')
    .action(
      act(async (machine: string | undefined, options: StatusOptions) =>
        (await import('./status.js')).runStatus(at(), machine === undefined ? machine : plain(machine), options, out),
      ),
    );
  program
    .command('visits')
    .description('visits ahead')
    .option('--json', 'the same for scripts')
    .action(act(async (options: { json?: true }) => (await import('./visits.js')).runVisits(at(), options, out)));
  program
    .command('sheet <visit>')
    .description('the bench sheet of a visit')
    .option('--json', 'the same for scripts')
    .action(
      act(async (visit: string, options: { json?: true }) =>
        (await import('./sheet.js')).runSheet(at(), plain(visit), options, out),
      ),
    );
  program
    .command('reading <machine> <hours>')
    .description('enter what the hour meter shows')
    .option('--at <instant>', 'when it was seen (default: now)')
    .option('--confirm', 'count it though it looks questionable')
    .option('--json', 'the same for scripts')
    .action(
      act(async (machine: string, hours: string, options: ReadingOptions) =>
        (await import('./reading.js')).runReading(at(), plain(machine), plain(hours), options, out),
      ),
    );
  program
    .command('done <visit>')
    .description('confirm the work of a visit')
    .option('--hours <hours>', 'what the meter showed')
    .option('--on <day>', 'day it was done (default: today)')
    .option('--tasks <tasks>', 'only these tasks, with commas between')
    .option(
      '--fluid <fluid>',
      'what went in other than the sheet says, such as "engine oil: KIND, 4 L"; "; as demanded" behind it says that it is the kind demanded; may be said again',
      (one: string, before: readonly string[]) => [...before, one],
      [],
    )
    .option('--paid <amount>', 'what was paid for it, such as 112.40; said again, the later word counts')
    .option('--paid-for <words>', 'what it was paid for')
    .option('--confirm', 'write it down though it was asked about')
    .action(
      act(async (visit: string, options: DoneOptions) =>
        (await import('./done.js')).runDone(at(), plain(visit), options, out),
      ),
    );
  program
    .command('undo <id>')
    .description('take back a record, a reading, a run, an answer or an amount paid')
    .action(act(async (id: string) => (await import('./undo.js')).runUndo(at(), plain(id), out)));
  program
    .command('spending [machine]')
    .description('what was paid, year by year; of all machines or of one')
    .option('--json', 'the same for scripts')
    .action(
      act(async (machine: string | undefined, options: SpendingOptions) =>
        (await import('./spending.js')).runSpending(
          at(),
          machine === undefined ? machine : plain(machine),
          options,
          out,
        ),
      ),
    );
  program
    .command('import <file>')
    .description('readings or old records from CSV')
    .requiredOption('--machine <name>', 'whose rows they are: the name of its file in machines/, without .yaml')
    .option('--dry-run', 'only say what would be imported')
    .option('--confirm', 'count the questionable rows too')
    .addHelpText('after', importExample)
    .action(
      act(async (file: string, options: ImportOptions) =>
        (await import('./import.js')).runImport(at(), plain(file), options, out),
      ),
    );
  program
    .command('export')
    .description('everything, in an open format')
    .option('--format <format>', 'csv, json or html', 'json')
    .action(act(async (options: { format: string }) => (await import('./export.js')).runExport(at(), options, out)));
  program
    .command('backup <file>')
    .description('everything into one file, while the service runs')
    .action(act(async (file: string) => (await import('./backup.js')).runBackup(at(), plain(file), out)));
  program
    .command('restore <file>')
    .description('put a backup in the place of what is there, which is kept')
    .option('--dry-run', 'only say what would change')
    .action(
      act(async (file: string, options: { dryRun?: true }) =>
        (await import('./restore.js')).runRestore(at(), plain(file), options, out),
      ),
    );
  program
    .command('password')
    .description('set the password of the page for other devices: typed, or one line on standard input')
    .action(act(async () => (await import('./password.js')).runPassword(at(), out)));
  program
    .command('feed <machine>')
    .description('what a run-time sensor has counted')
    .option('--watch', 'show what arrives, what it is taken for and what is refused, until Ctrl-C')
    .option('--json', 'with --watch one document a line')
    .action(
      act(async (machine: string, options: FeedOptions) =>
        (await import('./feed.js')).runFeed(at(), plain(machine), options, out),
      ),
    );
  program
    .command('rehearse')
    .description('the whole service, fast, against a scripted usage')
    .requiredOption('--usage <file>', 'CSV with day,machine,hours')
    .requiredOption('--from <day>', 'the first day lived, such as 2025-01-01')
    .requiredOption('--to <day>', 'the last day lived')
    .option('--person <file>', 'habits of the scripted person, YAML')
    .option('--feed <share>', 'share of the days that a feed covers')
    .option('--policy <policy>', 'ours, calendar or line', 'ours')
    .option('--tasks <tasks>', 'only these tasks, with commas between')
    .option(
      '--seed <seed>',
      'a whole number; the same one makes the same person (default: the one in --person, else 1)',
    )
    .option('--json', 'the same for scripts')
    .action(act(async (options: RehearseOptions) => (await import('./rehearse.js')).runRehearse(at(), options, out)));
  program
    .command('test-notice [person]')
    .description('send a test message by every way to a person, or to all')
    .action(
      act(async (person: string | undefined) =>
        (await import('./test-notice.js')).runTestNotice(at(), person === undefined ? person : plain(person), out),
      ),
    );
  program
    .command('compute <what>')
    .description('forecast, order, grouping or inspection: JSON Lines in, JSON Lines out')
    .action(
      act(async (what: string) => {
        const { computeWords, runCompute } = await import('./compute.js');
        const computed = await runCompute(what);
        if (computed !== null) return computed;
        const words = computeWords.map((word) => `compute ${word}`).join(', ');
        throw new BadInput(`There is nothing to compute called ${JSON.stringify(what)}. Try: ${words}.`);
      }),
    );

  try {
    await program.parseAsync(argv, { from: 'user' });
    return status;
  } catch (failure) {
    if (failure instanceof CommanderError) {
      if (failure.exitCode === 0) return exitStatus.fine;
      if (failure.code === 'commander.help') {
        out.error('No command was given. Try: shedbell --help');
        return exitStatus.badInput;
      }
      const message = failure.message.replace(/^error: /, '');
      const missing = failure.code === 'commander.missingArgument' ? /'(\w+)'$/.exec(message)?.[1] : undefined;
      const hint = missing === undefined ? undefined : whereIdsComeFrom[missing];
      if (failure.code === 'commander.missingMandatoryOptionValue') {
        const command = program.commands.find((each) => argv.includes(each.name()))?.name();
        out.error(`${message}. What it means: shedbell ${command} --help`);
      } else out.error(hint === undefined ? message : `${message}: ${hint}`);
      return exitStatus.badInput;
    }
    return reportFailure(out, failure);
  }
}

/** For arguments that nobody knows by heart. */
const whereIdsComeFrom: Readonly<Record<string, string>> = {
  visit: 'shedbell visits lists the visits ahead with their ids.',
  id: 'done and reading say the id of what they wrote down, such as record-4 or reading-7; shedbell export lists them all.',
};

/** What root wrote beside the data of another user's service is that user's from now on. */
async function leaveWritten(at: At): Promise<void> {
  if (process.getuid?.() !== 0) return;
  const home = (at.home ?? process.env.SHEDBELL_HOME) || './shed';
  const { leaveToOwner } = await import('../store/give-to.js');
  leaveToOwner(join(home, 'data'), home);
}

/** @throws BadInput where nothing was given */
function plain(argument: string): string {
  if (argument.trim() === '') throw new BadInput('An empty name or value was given.');
  return argument;
}
