// The numbers behind a chart as a table, on the page and as a file.

export interface Column {
  name: string;
  /** Numbers stand to the right. */
  number?: boolean;
}
export interface Table {
  columns: readonly Column[];
  rows: readonly (readonly (string | number | null)[])[];
}

/** CSV after RFC 4180 with a byte-order mark; a text that a spreadsheet would take for a formula gets an apostrophe. */
export function csvText(table: Table): string {
  const lines = [table.columns.map((c) => c.name), ...table.rows].map((row) => row.map(cell).join(','));
  return `\uFEFF${lines.join('\r\n')}\r\n`;
}

function cell(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const safe = /^[=+\-@\t\r\n\uFF1D\uFF0B\uFF0D\uFF20]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** A name for the file: plain letters, digits and hyphens. */
export function fileName(title: string): string {
  const plain = title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return `${plain || 'chart'}.csv`;
}
