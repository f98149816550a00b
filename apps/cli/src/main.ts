#!/usr/bin/env node
import { run } from './program.ts';

// Whoever reads our output may stop early, as `head` does; then there is nobody to tell.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});

process.exitCode = await run(process.argv, process.env, {
  out: process.stdout,
  err: process.stderr,
});
