import { join } from 'node:path';

/** Where files lie while their imports run, below the data folder. */
export const importFolder = (dataFolder: string): string => join(dataFolder, 'imports');
