export type { Profile, ProfileExample } from './learn-profile.js';
export { learnProfile } from './learn-profile.js';
