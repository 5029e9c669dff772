/** One line of CSV, ended by CRLF. Cells with separators, quotes or line breaks are quoted; a cell that a spreadsheet would take
 *  for a formula (it begins with = + - @, a tab or a line break) gets an apostrophe before it.
 *  @param cells null and undefined are empty cells; numbers are written plainly and never taken for formulas
 *  Source: RFC 4180; the apostrophe is common practice against formulas in exported tables, from memory. */
export function csvLine(cells: readonly (string | number | null)[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

function csvCell(cell: string | number | null): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return String(cell);
  const plain = /^[=+\-@\t\r\n]/.test(cell) ? `'${cell}` : cell;
  return /[",\r\n;]/.test(plain) || plain !== plain.trim() ? `"${plain.replaceAll('"', '""')}"` : plain;
}
