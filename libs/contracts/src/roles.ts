import { z } from 'zod';

/**
 * What a person may do. `read` sees everything private; `warehouse` fills, moves, gauges, counts, samples;
 * `blend` plans and vats; `keep` approves, reverses, reconciles, sets up stores; `administer` adds people and settings.
 */
export const Role = z.enum(['read', 'warehouse', 'blend', 'keep', 'administer']);
export type Role = z.infer<typeof Role>;
export const ROLES = Role.options;
