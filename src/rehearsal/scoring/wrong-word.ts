import { sayDoubt } from '../../outlook/doubt.js';
import { estimateFor } from './estimate-for.js';
import type { ScoredCase } from './lay-cases.js';
import type { UseSeries } from './series.js';

/** A season word that is as wrong as can be for a machine. */
export const wrongWord: Readonly<Record<UseSeries['word'], UseSeries['word']>> = {
  even: 'summer',
  summer: 'winter',
  winter: 'summer',
  'spring-autumn': 'winter',
  spring: 'autumn',
  autumn: 'spring',
};

/** Share of the cases in which the owner is told that the readings contradict the word.
 *  @param cases  at least one
 *  @param word   what the owner says */
export function shareTold(cases: readonly ScoredCase[], word: UseSeries['word']): number {
  const told = cases.filter(({ question, series }) => {
    const expect = { season: word } as const;
    return (
      sayDoubt({ name: series.name, expect }, estimateFor({ ...question, expect }, false), question.nowMs) !== null
    );
  });
  return told.length / cases.length;
}
