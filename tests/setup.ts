import { configureGlobal } from 'fast-check';

// The same cases every time, so that a failure is a change's own; SEAMWRIGHT_SEED=n tries others.
configureGlobal({ seed: Number(process.env.SEAMWRIGHT_SEED ?? 20260901) });
