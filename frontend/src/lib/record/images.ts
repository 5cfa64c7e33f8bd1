// Several images of one endothelial exam, pooled into one count.
import type { EndothelialExam, ImageCount } from '../api/types';

export interface Pooled {
  density: number;
  cells: number;
  cv?: number;
}

/**
 * Cells are summed; the density is all cells over all the area they were counted in; the variation is that of all
 * cells taken together, from the mean area and variance of each image. Undefined while an image lacks density or
 * cells; cv is left out while an image lacks its own. Arithmetic.
 */
export function pool(images: readonly ImageCount[] | undefined): Pooled | undefined {
  if (!images || images.length === 0 || images.some((i) => !(i.density > 0) || !(i.cells > 0))) return undefined;
  const cells = sum(images.map((i) => i.cells));
  const mean = sum(images.map((i) => i.cells / i.density)) / cells;
  const pooled: Pooled = { cells, density: 1 / mean };
  if (images.some((i) => i.cv === undefined)) return pooled;
  const square = sum(images.map((i) => (i.cells * (1 + (i.cv ?? 0) ** 2)) / i.density ** 2)) / cells;
  return { ...pooled, cv: Math.sqrt(Math.max(0, square - mean ** 2)) / mean };
}

/** What the pooled images say, and where the exam was entered otherwise; the entered values count. */
export function pooledText(exam: EndothelialExam | undefined): { text: string; differs: boolean } {
  const pooled = pool(exam?.imageCounts);
  if (!exam || !pooled) return { text: '', differs: false };
  const cv = pooled.cv === undefined ? '' : `, CV ${(100 * pooled.cv).toFixed(0)} %`;
  const text = `Together ${pooled.density.toFixed(0)} cells/mm² from ${pooled.cells} cells${cv}.`;
  const apart = [
    exam.density && Math.abs(exam.density - pooled.density) >= 1 ? 'density' : '',
    exam.cells !== undefined && exam.cells !== pooled.cells ? 'cells counted' : '',
    exam.cv !== undefined && pooled.cv !== undefined && Math.abs(exam.cv - pooled.cv) >= 0.01 ? 'CV' : '',
  ].filter(Boolean);
  if (apart.length === 0) return { text, differs: false };
  return { text: `${text} Entered otherwise: ${apart.join(', ')}. What was entered counts.`, differs: true };
}

/**
 * The exam with other images. What had been pooled from the images before is pooled anew; what a person entered stays.
 * Density 0 asks the server to pool.
 */
export function withImages(exam: EndothelialExam | undefined, images: ImageCount[]): EndothelialExam | undefined {
  const before = pool(exam?.imageCounts);
  const next: EndothelialExam = { density: 0, ...exam, imageCounts: images.length > 0 ? images : undefined };
  if (before && near(next.density, before.density)) next.density = 0;
  if (before && next.cells === before.cells) next.cells = undefined;
  if (before?.cv !== undefined && near(next.cv, before.cv)) next.cv = undefined;
  if (next.images === exam?.imageCounts?.length) next.images = undefined;
  return holdsSomething(next) ? next : undefined;
}

/** An exam without any figure is no exam. */
export function holdsSomething(exam: EndothelialExam): boolean {
  const figures = [exam.density || undefined, exam.cells, exam.cv, exam.hexagonality, exam.images];
  return figures.some((v) => v !== undefined) || Boolean(exam.instrument || exam.method || exam.imageCounts?.length);
}

function near(a: number | undefined, b: number): boolean {
  return a !== undefined && Math.abs(a - b) <= 1e-6 * Math.abs(b);
}

function sum(values: number[]): number {
  return values.reduce((a, b) => a + b, 0);
}
