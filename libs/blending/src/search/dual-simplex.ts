import type { LinearModel } from '../solver.ts';
import type { AllowedValues } from './allowed-values.ts';
import { BasisInverse } from './basis-inverse.ts';

/**
 * Bounded dual simplex for models with few rows and many boxed columns, kept warm from one node of a
 * search to the next. The basis inverse is held dense (m × m): at a few dozen rows an iteration costs
 * some microseconds, which is what lets a search look at tens of thousands of nodes a second.
 *
 * Rows are logical columns s with A·x − s = 0, so every right-hand side is zero and a change of any
 * bound leaves the duals as they are. Method: dual steepest edge pricing and the bound-flipping ratio
 * test; Koberstein, "The dual simplex method, techniques for a fast and stable implementation" (2005).
 */

export type SimplexEnd = 'optimal' | 'infeasible' | 'cutoff' | 'iterations';

const FEASIBILITY = 1e-9;
const PIVOT = 1e-8;
const REFACTOR_AFTER = 120;

export class DualSimplex {
  readonly rowCount: number;
  /** Structural columns; logical columns follow them. */
  readonly columnCount: number;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Values of all columns, structural and logical; right after `solve` ends 'optimal'. */
  readonly x: Float64Array;
  /** Reduced costs of the columns that may move; those of fixed columns are stale. */
  readonly d: Float64Array;
  readonly y: Float64Array;
  iterations = 0;
  readonly #cost: Float64Array;
  readonly #trueCost: Float64Array;
  #perturbed = false;
  readonly #starts: Int32Array;
  readonly #indices: Int32Array;
  readonly #values: Float64Array;
  readonly #basisInverse: BasisInverse;
  readonly #inverse: Float64Array;
  readonly #basis: Int32Array;
  readonly #rowOf: Int32Array;
  readonly #weight: Float64Array;
  readonly #alpha: Float64Array;
  readonly #column: Float64Array;
  readonly #tau: Float64Array;
  readonly #shift: Float64Array;
  readonly #shiftPlaces: Int32Array;
  readonly #flips: number[] = [];
  readonly #candidates: Int32Array;
  readonly #ratio: Float64Array;
  /** Nonbasic columns that are free to move, and where each stands in the list (−1: not in it). */
  readonly #active: Int32Array;
  readonly #placeInActive: Int32Array;
  #activeCount = 0;
  readonly #touched: Uint8Array;
  readonly #touchedList: Int32Array;
  #touchedCount = 0;
  #nonbasicCost = 0;
  #sinceRefactor = 0;
  readonly #saved: SavedState;
  readonly #shouldStop: () => boolean;

  /** @param shouldStop asked now and then; a solve then ends with 'iterations' */
  constructor(model: LinearModel, shouldStop: () => boolean = () => false) {
    this.#shouldStop = shouldStop;
    const m = model.rowCount;
    const n = model.columnCount;
    const total = n + m;
    this.rowCount = m;
    this.columnCount = n;
    this.lower = new Float64Array(total);
    this.upper = new Float64Array(total);
    this.lower.set(model.columnLower);
    this.upper.set(model.columnUpper);
    this.lower.set(model.rowLower, n);
    this.upper.set(model.rowUpper, n);
    this.x = new Float64Array(total);
    this.d = new Float64Array(total);
    this.y = new Float64Array(m);
    this.#cost = new Float64Array(total);
    this.#cost.set(model.columnCost);
    this.#trueCost = model.columnCost;
    this.#starts = model.starts;
    this.#indices = model.indices;
    this.#values = model.values;
    this.#basisInverse = new BasisInverse(m);
    this.#inverse = this.#basisInverse.values;
    this.#basis = new Int32Array(m);
    this.#rowOf = new Int32Array(total).fill(-1);
    this.#weight = new Float64Array(m).fill(1);
    this.#alpha = new Float64Array(total);
    this.#column = new Float64Array(m);
    this.#tau = new Float64Array(m);
    this.#shift = new Float64Array(m);
    this.#shiftPlaces = new Int32Array(m);
    this.#candidates = new Int32Array(total);
    this.#ratio = new Float64Array(total);
    this.#active = new Int32Array(total);
    this.#placeInActive = new Int32Array(total).fill(-1);
    this.#touched = new Uint8Array(total);
    this.#touchedList = new Int32Array(total);
    this.#saved = {
      x: new Float64Array(total),
      d: new Float64Array(total),
      y: new Float64Array(m),
      inverse: new Float64Array(m * m),
      basis: new Int32Array(m),
      rowOf: new Int32Array(total),
      weight: new Float64Array(m),
      active: new Int32Array(total),
      place: new Int32Array(total),
      activeCount: 0,
      nonbasicCost: 0,
      sinceRefactor: 0,
    };
    this.#startFromLogicals();
    this.#settle();
  }

  /** Changes the bounds of a structural column; takes effect at the next `solve`. */
  setBounds(column: number, lower: number, upper: number): void {
    if (this.lower[column] === lower && this.upper[column] === upper) return;
    this.lower[column] = lower;
    this.upper[column] = upper;
    if (this.#rowOf[column]! < 0 && this.#touched[column] === 0) {
      this.#touched[column] = 1;
      this.#touchedList[this.#touchedCount++] = column;
    }
  }

  isBasic(column: number): boolean {
    return this.#rowOf[column]! >= 0;
  }

  /**
   * A lower bound on the objective within the present bounds, recomputed from the duals alone:
   * Σ over columns of the least d_j·x_j. Valid for any y, whatever rounding did to the basis.
   */
  safeBound(): number {
    const { rowCount: m, columnCount: n } = this;
    // A multiplier that asks for a limit the row does not have counts as 0: still valid, never −∞.
    const y = this.#tau;
    let bound = 0;
    for (let i = 0; i < m; i++) {
      const limit = this.y[i]! > 0 ? this.lower[n + i]! : this.upper[n + i]!;
      y[i] = Number.isFinite(limit) ? this.y[i]! : 0;
      if (y[i] !== 0) bound += y[i]! * limit;
    }
    for (let j = 0; j < n; j++) {
      let d = this.#trueCost[j]!;
      for (let e = this.#starts[j]!; e < this.#starts[j + 1]!; e++)
        d -= y[this.#indices[e]!]! * this.#values[e]!;
      const limit = d > 0 ? this.lower[j]! : this.upper[j]!;
      if (Number.isFinite(limit)) bound += d * limit;
      else if (d < -1e-7) return -Infinity;
    }
    return bound;
  }

  /** Lower bound within the present bounds, once `solve` ended 'optimal'. */
  bound(): number {
    return this.#perturbed ? this.safeBound() : this.objective();
  }

  /** Objective at the present point; with perturbed costs if ties made that necessary. */
  objective(): number {
    let sum = this.#nonbasicCost;
    const { x } = this;
    const basis = this.#basis;
    const cost = this.#cost;
    for (let i = 0; i < this.rowCount; i++) sum += cost[basis[i]!]! * x[basis[i]!]!;
    return sum;
  }

  /** Basic structural columns whose value is not allowed. */
  misplaced(allowed: AllowedValues, tolerance: number, into: number[]): number[] {
    into.length = 0;
    for (let i = 0; i < this.rowCount; i++) {
      const j = this.#basis[i]!;
      if (j >= this.columnCount) continue;
      const x = this.x[j]!;
      if (Math.abs(x - allowed.nearest(j, x)) > tolerance) into.push(j);
    }
    return into;
  }

  /**
   * Multipliers on the first `rowCount` rows that give the tableau rows of basic whole columns, the
   * most fractional first. Rows beyond (cuts) are left out, so those that use one are skipped.
   */
  tableauRows(integer: Uint8Array, rowCount: number, most: number): Float64Array[] {
    const m = this.rowCount;
    const list: { row: number; off: number }[] = [];
    for (let i = 0; i < m; i++) {
      const j = this.#basis[i]!;
      if (j >= this.columnCount || integer[j] !== 1) continue;
      const off = Math.abs(this.x[j]! - Math.round(this.x[j]!));
      if (off > 0.01) list.push({ row: i, off });
    }
    list.sort((a, b) => b.off - a.off);
    const rows: Float64Array[] = [];
    for (const { row } of list) {
      if (rows.length >= most) break;
      const at = row * m;
      let clean = true;
      for (let k = rowCount; k < m && clean; k++) clean = Math.abs(this.#inverse[at + k]!) < 1e-12;
      if (clean) rows.push(this.#inverse.slice(at, at + rowCount));
    }
    return rows;
  }

  /** Takes pending changes of bounds into account without iterating. */
  settle(): void {
    this.#settleTouched();
  }

  /** Remembers the present basis and bounds' effects, to be taken up again by `restore`. */
  save(): void {
    const saved = this.#saved;
    saved.x.set(this.x);
    saved.d.set(this.d);
    saved.y.set(this.y);
    saved.inverse.set(this.#inverse);
    saved.basis.set(this.#basis);
    saved.rowOf.set(this.#rowOf);
    saved.weight.set(this.#weight);
    saved.active.set(this.#active);
    saved.place.set(this.#placeInActive);
    saved.activeCount = this.#activeCount;
    saved.nonbasicCost = this.#nonbasicCost;
    saved.sinceRefactor = this.#sinceRefactor;
  }

  /**
   * Back to what `save` kept. The bounds must be as they were then; nothing may be pending.
   */
  restore(): void {
    const saved = this.#saved;
    this.x.set(saved.x);
    this.d.set(saved.d);
    this.y.set(saved.y);
    this.#inverse.set(saved.inverse);
    this.#basis.set(saved.basis);
    this.#rowOf.set(saved.rowOf);
    this.#weight.set(saved.weight);
    this.#active.set(saved.active);
    this.#placeInActive.set(saved.place);
    this.#activeCount = saved.activeCount;
    this.#nonbasicCost = saved.nonbasicCost;
    this.#sinceRefactor = saved.sinceRefactor;
    for (let k = 0; k < this.#touchedCount; k++) this.#touched[this.#touchedList[k]!] = 0;
    this.#touchedCount = 0;
  }

  /** Dual simplex from the present basis. Stops early once the objective passes `cutoff`. */
  solve(cutoff: number, mostIterations: number): SimplexEnd {
    this.#settleTouched();
    for (let step = 0; step < mostIterations; step++) {
      if (this.#sinceRefactor >= REFACTOR_AFTER) this.#refactor();
      const row = this.#leavingRow();
      if (row < 0) {
        if (this.#sinceRefactor > 0 && !this.#accurate()) {
          this.#refactor();
          continue;
        }
        return 'optimal';
      }
      const end = this.#iterate(row);
      if (end === 'infeasible' && this.#provenInfeasible(row)) return 'infeasible';
      if (end !== 'moved') {
        if (this.#sinceRefactor === 0) return 'iterations';
        this.#refactor();
        continue;
      }
      this.iterations++;
      if ((step & 3) === 3 && this.objective() > cutoff && this.bound() > cutoff) return 'cutoff';
      if (step === this.#patience) this.#perturb();
      if ((step & 15) === 15 && this.#shouldStop()) return 'iterations';
    }
    return 'iterations';
  }

  /** Iterations of one solve after which ties among reduced costs are taken to be the trouble. */
  get #patience(): number {
    return 2 * this.rowCount + 60;
  }

  /**
   * Moves the costs of nonbasic columns a little, each the way that keeps it dual feasible, so that
   * no two ratios tie. Bounds are then taken from the true costs (`safeBound`).
   */
  #perturb(): void {
    if (this.#perturbed) return;
    this.#perturbed = true;
    let size = 0;
    for (let j = 0; j < this.columnCount; j++) size += Math.abs(this.#trueCost[j]!);
    size = Math.max(size / this.columnCount, 1e-6);
    let state = 12345;
    for (let j = 0; j < this.columnCount; j++) {
      state = (Math.imul(state, 1103515245) + 12345) >>> 0;
      if (this.#rowOf[j]! >= 0) continue;
      const nudge = size * 1e-6 * (0.5 + state / 4294967296);
      const change = this.x[j]! <= this.lower[j]! ? nudge : -nudge;
      this.#cost[j]! += change;
      this.d[j]! += change;
      this.#nonbasicCost += change * this.x[j]!;
    }
  }

  #startFromLogicals(): void {
    const { columnCount: n, rowCount: m } = this;
    this.#basisInverse.setLogical();
    for (let i = 0; i < m; i++) {
      this.#basis[i] = n + i;
      this.#rowOf[n + i] = i;
    }
  }

  #reducedCost(j: number): number {
    let d = this.#cost[j]!;
    for (let e = this.#starts[j]!; e < this.#starts[j + 1]!; e++)
      d -= this.y[this.#indices[e]!]! * this.#values[e]!;
    return d;
  }

  /** Puts every nonbasic column on its bound, lists those free to move, recomputes the basics. */
  #settle(): void {
    this.#activeCount = 0;
    this.#nonbasicCost = 0;
    const n = this.columnCount;
    for (let j = 0; j < n + this.rowCount; j++) {
      this.#placeInActive[j] = -1;
      if (this.#rowOf[j]! >= 0) {
        this.d[j] = 0;
        continue;
      }
      this.d[j] = j < n ? this.#reducedCost(j) : this.y[j - n]!;
      this.x[j] = restingPlace(this.x[j]!, this.d[j]!, this.lower[j]!, this.upper[j]!);
      this.#nonbasicCost += this.#cost[j]! * this.x[j]!;
      if (this.lower[j]! < this.upper[j]!) this.#activate(j);
    }
    for (let k = 0; k < this.#touchedCount; k++) this.#touched[this.#touchedList[k]!] = 0;
    this.#touchedCount = 0;
    this.#computeBasics();
  }

  /** The same for the columns whose bounds were changed since. */
  #settleTouched(): void {
    let moved = 0;
    const shift = this.#shift;
    for (let k = 0; k < this.#touchedCount; k++) {
      const j = this.#touchedList[k]!;
      this.#touched[j] = 0;
      if (this.#rowOf[j]! >= 0) continue;
      const place = this.#placeInActive[j]!;
      const free = this.lower[j]! < this.upper[j]!;
      if (place < 0 && free) {
        this.d[j] = this.#reducedCost(j);
        this.#activate(j);
      } else if (place >= 0 && !free) this.#deactivate(j);
      const to = free
        ? restingPlace(this.x[j]!, this.d[j]!, this.lower[j]!, this.upper[j]!)
        : this.lower[j]!;
      const change = to - this.x[j]!;
      if (change === 0) continue;
      if (moved++ === 0) shift.fill(0);
      this.x[j] = to;
      this.#nonbasicCost += this.#cost[j]! * change;
      for (let e = this.#starts[j]!; e < this.#starts[j + 1]!; e++)
        shift[this.#indices[e]!]! += this.#values[e]! * change;
    }
    this.#touchedCount = 0;
    if (moved > 0) this.#shiftBasics();
  }

  #activate(j: number): void {
    this.#placeInActive[j] = this.#activeCount;
    this.#active[this.#activeCount++] = j;
  }

  #deactivate(j: number): void {
    const place = this.#placeInActive[j]!;
    const last = this.#active[--this.#activeCount]!;
    this.#active[place] = last;
    this.#placeInActive[last] = place;
    this.#placeInActive[j] = -1;
  }

  /** x_B −= B⁻¹·shift. */
  #shiftBasics(): void {
    const m = this.rowCount;
    const inverse = this.#inverse;
    const shift = this.#shift;
    const places = this.#shiftPlaces;
    let count = 0;
    for (let k = 0; k < m; k++) if (shift[k] !== 0) places[count++] = k;
    for (let i = 0; i < m; i++) {
      let sum = 0;
      const at = i * m;
      for (let k = 0; k < count; k++) {
        const c = places[k]!;
        sum += inverse[at + c]! * shift[c]!;
      }
      this.x[this.#basis[i]!]! -= sum;
    }
  }

  #computeBasics(): void {
    const { rowCount: m, columnCount: n } = this;
    const shift = this.#shift.fill(0);
    for (let j = 0; j < n; j++) {
      const x = this.x[j]!;
      if (x === 0 || this.#rowOf[j]! >= 0) continue;
      for (let e = this.#starts[j]!; e < this.#starts[j + 1]!; e++)
        shift[this.#indices[e]!]! += this.#values[e]! * x;
    }
    for (let i = 0; i < m; i++) if (this.#rowOf[n + i]! < 0) shift[i]! -= this.x[n + i]!;
    for (let i = 0; i < m; i++) this.x[this.#basis[i]!] = 0;
    this.#shiftBasics();
  }

  #leavingRow(): number {
    let best = -1;
    let bestScore = 0;
    for (let i = 0; i < this.rowCount; i++) {
      const j = this.#basis[i]!;
      const x = this.x[j]!;
      const low = this.lower[j]!;
      const high = this.upper[j]!;
      const over =
        x < low - FEASIBILITY * (1 + Math.abs(low))
          ? low - x
          : x > high + FEASIBILITY * (1 + Math.abs(high))
            ? x - high
            : 0;
      if (over === 0) continue;
      const score = (over * over) / this.#weight[i]!;
      if (score > bestScore) {
        bestScore = score;
        best = i;
      }
    }
    return best;
  }

  #iterate(row: number): 'moved' | 'infeasible' | 'inexact' {
    const { rowCount: m } = this;
    const leaving = this.#basis[row]!;
    const below = this.x[leaving]! < this.lower[leaving]!;
    const bound = below ? this.lower[leaving]! : this.upper[leaving]!;
    const sign = below ? -1 : 1;
    const at = row * m;
    const inverse = this.#inverse;
    const candidateCount = this.#pivotRow(at, sign);
    const entering = this.#ratioTest(candidateCount, Math.abs(this.x[leaving]! - bound));
    if (entering < 0) return 'infeasible';
    // Column of the entering variable in the present basis; its pivot must agree with the row's.
    const column = this.#ftran(entering);
    const pivot = column[row]!;
    const alpha = this.#alpha[entering]!;
    if (Math.abs(pivot) < PIVOT || Math.abs(pivot - alpha) > 1e-6 * (1 + Math.abs(alpha)))
      return 'inexact';
    if (this.#flips.length > 0) this.#flip(this.#flips);
    const dualStep = this.d[entering]! / pivot;
    const { d } = this;
    const active = this.#active;
    const alphas = this.#alpha;
    for (let k = 0, end = this.#activeCount; k < end; k++) {
      const j = active[k]!;
      d[j]! -= dualStep * alphas[j]!;
    }
    this.#basisInverse.gatherRow(row);
    const { nonzeros, nonzeroCount } = this.#basisInverse;
    for (let k = 0; k < nonzeroCount; k++) {
      const i = nonzeros[k]!;
      this.y[i]! += dualStep * inverse[at + i]!;
    }
    this.d[entering] = 0;
    this.d[leaving] = -dualStep;
    // Primal step.
    const step = (this.x[leaving]! - bound) / pivot;
    for (let i = 0; i < m; i++) {
      const change = column[i]!;
      if (change !== 0) this.x[this.#basis[i]!]! -= step * change;
    }
    this.#nonbasicCost += this.#cost[leaving]! * bound - this.#cost[entering]! * this.x[entering]!;
    this.x[entering]! += step;
    this.x[leaving] = bound;
    this.#updateWeights(row, column, pivot);
    this.#basisInverse.update(row, column, pivot);
    this.#basis[row] = entering;
    this.#rowOf[entering] = row;
    this.#rowOf[leaving] = -1;
    this.#deactivate(entering);
    if (this.lower[leaving]! < this.upper[leaving]!) this.#activate(leaving);
    this.#sinceRefactor++;
    return 'moved';
  }

  /**
   * Farkas: the row's multipliers applied to A·x − s = 0 give an equation; when its left side cannot
   * reach 0 within the bounds of all columns there is no solution, however inexact the basis.
   */
  #provenInfeasible(row: number): boolean {
    return this.#alwaysPositive(row, 1) || this.#alwaysPositive(row, -1);
  }

  /** True when sign · (ρ·A·x − ρ·s) > 0 throughout the bounds, ρ being a row of the inverse. */
  #alwaysPositive(row: number, sign: number): boolean {
    const { rowCount: m, columnCount: n } = this;
    const at = row * m;
    const rho = this.#tau;
    let size = 0;
    for (let i = 0; i < m; i++) size = Math.max(size, Math.abs(this.#inverse[at + i]!));
    let least = 0;
    for (let i = 0; i < m; i++) {
      const value = sign * this.#inverse[at + i]!;
      const limit = value > 0 ? this.upper[n + i]! : this.lower[n + i]!;
      // A multiplier that is only rounding may be dropped: any multipliers prove.
      rho[i] = Number.isFinite(limit) ? value : 0;
      if (rho[i] === 0 && Math.abs(value) > 1e-7 * size) return false;
      if (rho[i] !== 0) least -= rho[i]! * limit;
    }
    for (let j = 0; j < n; j++) {
      let coefficient = 0;
      for (let e = this.#starts[j]!; e < this.#starts[j + 1]!; e++)
        coefficient += rho[this.#indices[e]!]! * this.#values[e]!;
      if (coefficient === 0) continue;
      const limit = coefficient > 0 ? this.lower[j]! : this.upper[j]!;
      if (!Number.isFinite(limit)) {
        if (Math.abs(coefficient) > 1e-9 * size) return false;
      } else least += coefficient * limit;
    }
    return least > 1e-9 * size;
  }

  /** Row `at` of B⁻¹·N over the columns that may move; returns how many may enter. */
  #pivotRow(at: number, sign: number): number {
    const { columnCount: n } = this;
    const inverse = this.#inverse;
    const starts = this.#starts;
    const indices = this.#indices;
    const values = this.#values;
    const active = this.#active;
    const { x, lower, upper, d } = this;
    const alphas = this.#alpha;
    const ratio = this.#ratio;
    const candidates = this.#candidates;
    let count = 0;
    for (let k = 0, end = this.#activeCount; k < end; k++) {
      const j = active[k]!;
      let alpha = 0;
      if (j < n)
        for (let e = starts[j]!, to = starts[j + 1]!; e < to; e++)
          alpha += inverse[at + indices[e]!]! * values[e]!;
      else alpha = -inverse[at + j - n]!;
      alphas[j] = alpha;
      const towards = sign * alpha;
      if (towards > PIVOT ? x[j]! <= lower[j]! : towards < -PIVOT && x[j]! >= upper[j]!) {
        ratio[j] = Math.max(0, d[j]! / towards);
        candidates[count++] = j;
      }
    }
    return count;
  }

  /**
   * Bound-flipping ratio test: passes columns in order of their ratios as long as flipping them to
   * their other bound leaves the row infeasible, then enters the next. −1 when all may flip and the
   * row is still infeasible, that is, the model has no solution.
   */
  #ratioTest(count: number, infeasibility: number): number {
    let slope = infeasibility;
    let left = count;
    const candidates = this.#candidates;
    const flips = this.#flips;
    flips.length = 0;
    let entering = -1;
    while (left > 0) {
      let least = Infinity;
      for (let k = 0; k < left; k++) least = Math.min(least, this.#ratio[candidates[k]!]!);
      // Ties go to the largest pivot.
      let at = -1;
      let size = 0;
      const limit = least + 1e-9 * (1 + Math.abs(least));
      for (let k = 0; k < left; k++) {
        const j = candidates[k]!;
        const alpha = Math.abs(this.#alpha[j]!);
        if (this.#ratio[j]! <= limit && alpha > size) {
          size = alpha;
          at = k;
        }
      }
      const j = candidates[at]!;
      candidates[at] = candidates[--left]!;
      slope -= size * (this.upper[j]! - this.lower[j]!);
      // Exactly 0: flipping would just make the row feasible, so this column enters instead.
      if (slope <= FEASIBILITY) {
        entering = j;
        break;
      }
      flips.push(j);
    }
    return entering;
  }

  #flip(columns: readonly number[]): void {
    const { columnCount: n } = this;
    const shift = this.#shift.fill(0);
    for (const j of columns) {
      const to = this.x[j]! <= this.lower[j]! ? this.upper[j]! : this.lower[j]!;
      const change = to - this.x[j]!;
      this.x[j] = to;
      this.#nonbasicCost += this.#cost[j]! * change;
      if (j < n)
        for (let e = this.#starts[j]!; e < this.#starts[j + 1]!; e++)
          shift[this.#indices[e]!]! += this.#values[e]! * change;
      else shift[j - n]! -= change;
    }
    this.#shiftBasics();
  }

  #ftran(j: number): Float64Array {
    const { rowCount: m, columnCount: n } = this;
    const column = this.#column;
    const inverse = this.#inverse;
    if (j >= n) {
      for (let i = 0; i < m; i++) column[i] = -inverse[i * m + j - n]!;
      return column;
    }
    const from = this.#starts[j]!;
    const to = this.#starts[j + 1]!;
    for (let i = 0; i < m; i++) {
      let sum = 0;
      const at = i * m;
      for (let e = from; e < to; e++) sum += inverse[at + this.#indices[e]!]! * this.#values[e]!;
      column[i] = sum;
    }
    return column;
  }

  /** Dual steepest edge weights after a pivot; the pivot row is gathered. */
  #updateWeights(row: number, column: Float64Array, pivot: number): void {
    const exact = this.#basisInverse.squaredNorm(row);
    const tau = this.#basisInverse.dotsWithRow(row, column);
    const weight = this.#weight;
    for (let i = 0; i < this.rowCount; i++) {
      if (i === row || column[i] === 0) continue;
      const ratio = column[i]! / pivot;
      weight[i] = Math.max(weight[i]! - 2 * ratio * tau[i]! + ratio * ratio * exact, 1e-4);
    }
    weight[row] = Math.max(exact / (pivot * pivot), 1e-4);
  }

  #accurate(): boolean {
    const { rowCount: m, columnCount: n } = this;
    const activity = this.#shift.fill(0);
    let scale = 1;
    for (let j = 0; j < n; j++) {
      const x = this.x[j]!;
      if (x === 0) continue;
      for (let e = this.#starts[j]!; e < this.#starts[j + 1]!; e++)
        activity[this.#indices[e]!]! += this.#values[e]! * x;
    }
    for (let i = 0; i < m; i++) scale = Math.max(scale, Math.abs(this.x[n + i]!));
    for (let i = 0; i < m; i++)
      if (Math.abs(activity[i]! - this.x[n + i]!) > 1e-9 * scale) return false;
    return true;
  }

  /** Inverts the basis anew and recomputes everything from it. */
  #refactor(): void {
    const { rowCount: m, columnCount: n } = this;
    const rebuilt = this.#basisInverse.rebuild(
      this.#basis,
      n,
      this.#starts,
      this.#indices,
      this.#values,
    );
    if (!rebuilt) {
      // A singular basis: start again from the logicals, which are always dual feasible.
      for (let i = 0; i < m; i++) this.#rowOf[this.#basis[i]!] = -1;
      this.#startFromLogicals();
      this.#weight.fill(1);
    }
    this.#sinceRefactor = 0;
    this.y.fill(0);
    for (let i = 0; i < m; i++) {
      const cost = this.#cost[this.#basis[i]!]!;
      if (cost === 0) continue;
      for (let k = 0; k < m; k++) this.y[k]! += cost * this.#inverse[i * m + k]!;
    }
    this.#settle();
  }
}

interface SavedState {
  readonly x: Float64Array;
  readonly d: Float64Array;
  readonly y: Float64Array;
  readonly inverse: Float64Array;
  readonly basis: Int32Array;
  readonly rowOf: Int32Array;
  readonly weight: Float64Array;
  readonly active: Int32Array;
  readonly place: Int32Array;
  activeCount: number;
  nonbasicCost: number;
  sinceRefactor: number;
}

/** The bound a nonbasic column rests on: the one its reduced cost asks for, else where it was. */
function restingPlace(x: number, d: number, low: number, high: number): number {
  if (low === -Infinity) return high;
  if (high === Infinity) return low;
  if (d > 0) return low;
  if (d < 0) return high;
  return x >= high ? high : low;
}
