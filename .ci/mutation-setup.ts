import { configureGlobal, readConfigureGlobal } from 'fast-check';

/** Counted mutants run slowly, and what survives runs every case: properties stop at so many milliseconds each. */
const TIME_LIMIT = 200;

configureGlobal({ ...readConfigureGlobal(), interruptAfterTimeLimit: TIME_LIMIT });
