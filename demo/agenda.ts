export type Task = () => void;

/** What is to be done on which day, in the order it was written down. What falls after the last day is never done. */
export class Agenda {
  readonly #firstDay: number;
  readonly #lastDay: number;
  readonly #tasks = new Map<number, Task[]>();

  constructor(firstDay: number, lastDay: number) {
    this.#firstDay = firstDay;
    this.#lastDay = lastDay;
  }

  /** Notes a task. */
  on(day: number, task: Task): void {
    const tasks = this.#tasks.get(day);
    if (tasks === undefined) this.#tasks.set(day, [task]);
    else tasks.push(task);
  }

  /** The days with work, each worked off before it is handed out. */
  *days(): Generator<number> {
    for (let day = this.#firstDay; day <= this.#lastDay; day++) {
      const tasks = this.#tasks.get(day);
      if (tasks === undefined) continue;
      // A task may note another for the same day.
      for (let i = 0; i < tasks.length; i++) tasks[i]?.();
      this.#tasks.delete(day);
      yield day;
    }
  }
}
