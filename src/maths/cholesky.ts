import { dot } from './dense.js';

/** Cholesky factor of a symmetric positive matrix, in place: the lower triangle of `matrix` becomes L with L·Lᵀ = matrix.
 *  @param matrix  n × n, row after row; only the lower triangle is read and written
 *  @param n       rows
 *  @returns       false where a pivot is not above 0 (the matrix is not positive); then the content is undefined
 *  Source: Golub and Van Loan, Matrix Computations, 4.2 (from memory). */
export function factorCholesky(matrix: Float64Array, n: number): boolean {
  for (let i = 0; i < n; i += 1) {
    const rowI = i * n;
    for (let j = 0; j < i; j += 1) {
      const rowJ = j * n;
      const value = (matrix[rowI + j] ?? 0) - dot(matrix, rowI, matrix, rowJ, j);
      matrix[rowI + j] = value / (matrix[rowJ + j] ?? 1);
    }
    const pivot = (matrix[rowI + i] ?? 0) - dot(matrix, rowI, matrix, rowI, i);
    if (!(pivot > 0)) return false;
    matrix[rowI + i] = Math.sqrt(pivot);
  }
  return true;
}

/** Solves L·x = b in place: `b` becomes x.
 *  @param factor  from factorCholesky, n × n
 *  @param b       holds n numbers from `bFrom` */
export function solveLower(factor: Float64Array, n: number, b: Float64Array, bFrom = 0): void {
  for (let i = 0; i < n; i += 1) {
    const value = (b[bFrom + i] ?? 0) - dot(factor, i * n, b, bFrom, i);
    b[bFrom + i] = value / (factor[i * n + i] ?? 1);
  }
}

/** Solves Lᵀ·x = b in place: `b` becomes x. After solveLower this completes matrix·x = b.
 *  @param factor  from factorCholesky, n × n
 *  @param b       n numbers */
export function solveUpper(factor: Float64Array, n: number, b: Float64Array): void {
  for (let i = n - 1; i >= 0; i -= 1) {
    const value = (b[i] ?? 0) / (factor[i * n + i] ?? 1);
    b[i] = value;
    for (let j = 0; j < i; j += 1) b[j] = (b[j] ?? 0) - (factor[i * n + j] ?? 0) * value;
  }
}

/** Natural logarithm of the determinant of the matrix that was factored: 2 Σ log L_ii.
 *  @param factor  from factorCholesky, n × n */
export function logDeterminant(factor: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i += 1) sum += Math.log(factor[i * n + i] ?? 1);
  return 2 * sum;
}
