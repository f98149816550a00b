/** Chooses casks for a blend. */
import { solveBlend } from '../blends/solve-blend.ts';
import { serveTasks } from '../jobs/serve-tasks.ts';

const tasks = { solve: solveBlend };

export type BlendingTasks = typeof tasks;
serveTasks(tasks);
