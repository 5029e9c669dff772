import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { readReadingsCsv } from '../formats/readings-csv.js';
import { readRecordsCsv } from '../formats/records-csv.js';
import { importRows } from '../ledger/import-rows.js';
import { type At, machineNamed, withService } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';
