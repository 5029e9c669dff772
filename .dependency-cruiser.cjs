/**
 * Which folder may import which: the table in DEVELOPERS.md, "The map". Each row imports only rows below it.
 * A folder may always import itself.
 */
const six = ['reminders', 'sheet', 'visits', 'inspection', 'forecast', 'hours'];
const pure = ['outlook', 'formats', 'charts', 'words', ...six, 'maths', 'domain'];
const keeping = ['ledger', 'store', 'home', 'broker'];
const doors = ['pages', 'channels', 'feed'];
const belowDaemon = [...doors, ...keeping, ...pure];

const mayImport = {
  cli: ['rehearsal', 'daemon', ...belowDaemon],
  rehearsal: ['daemon', ...belowDaemon],
  daemon: belowDaemon,
  pages: ['ledger', 'outlook', 'words', 'charts', 'formats', 'domain'],
  channels: ['broker', 'words', 'charts', 'domain'],
  feed: ['broker', 'words', 'domain'],
  ledger: ['store', 'home', 'hours', 'inspection', 'domain'],
  store: ['domain'],
  home: ['domain'],
  broker: ['domain'],
  outlook: [...six, 'domain'],
  formats: ['words', 'domain'],
  charts: ['domain', 'maths'],
  words: ['domain'],
  reminders: ['visits', 'forecast', 'domain'],
  sheet: ['visits', 'inspection', 'domain', 'maths'],
  visits: ['forecast', 'domain', 'maths'],
  inspection: ['domain', 'maths'],
  forecast: ['hours', 'domain', 'maths'],
  hours: ['domain', 'maths'],
  maths: [],
  domain: [],
};
/** Result types of the six may be read by those who show them. */
const readsTypesOf = { formats: six, charts: six, words: six };

const notTests = '\\.test\\.tsx?$';
const arrows = Object.entries(mayImport).map(([folder, allowed]) => ({
  name: `${folder}-imports-only-what-its-row-names`,
  severity: 'error',
  from: { path: `^src/${folder}/`, pathNot: notTests },
  to: {
    path: '^src/',
    pathNot: `^src/(${[folder, ...allowed, ...(readsTypesOf[folder] ?? [])].join('|')})/`,
  },
}));

module.exports = {
  forbidden: [
    ...arrows,
    {
      name: 'main-only-calls-cli',
      severity: 'error',
      from: { path: '^src/main\\.ts$' },
      to: { path: '^src/', pathNot: '^src/cli/' },
    },
    {
      name: 'pure-folders-have-no-outside',
      severity: 'error',
      from: { path: `^src/(${pure.join('|')})/`, pathNot: notTests },
      to: {
        path: '(better-sqlite3|node_modules/(mqtt|express|nodemailer|node-cron|zod|pino|aedes|helmet|yaml)/|^(node:)?(fs|net|http|https|child_process|os|process|timers)(/|$))',
      },
    },
    {
      name: 'sql-only-in-store',
      severity: 'error',
      from: { path: '^src/', pathNot: `^src/store/|${notTests}` },
      to: { path: 'node_modules/better-sqlite3' },
    },
    {
      name: 'zod-only-where-data-enters',
      severity: 'error',
      from: { path: '^src/', pathNot: `^src/(home|feed|pages|cli)/|${notTests}` },
      to: { path: 'node_modules/zod/' },
    },
    {
      name: 'calendar-library-only-in-day',
      severity: 'error',
      from: { path: '^src/', pathNot: `^src/domain/day\\.ts$|${notTests}` },
      to: { path: 'node_modules/temporal-polyfill' },
    },
    { name: 'no-circles', severity: 'error', from: {}, to: { circular: true } },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: { extensions: ['.ts', '.tsx', '.js', '.json'], exportsFields: ['exports'], conditionNames: ['import', 'types', 'node'] },
  },
};
