/** Public names of scarp as a library. */
export { surveyPart, type EarlyAnswers, type Survey, type SurveyContext } from './survey/survey.js';
export { checkPart, type Check, type CheckWishes } from './survey/check-part.js';
export {
  resolveSetup,
  SETUP_DEFAULTS,
  setupJsonSchema,
  type Setup,
  type SetupFile,
} from './resolve-setup.js';
export { planSchema, planJsonSchema, type Plan } from './plan/plan.js';
export { catalogueJsonSchema, type Cutter } from './cutter/catalogue.js';
export { machineJsonSchema, type Machine } from './time/machine.js';
export { cuttingDataJsonSchema, type CuttingData } from './time/cutting-data.js';
export { PartError, type PartErrorInfo } from './core/errors.js';
export type { Finding, Severity } from './core/findings.js';
export type { Context } from './core/context.js';
export { lastAnswers, type LastAnswers } from './core/last-answers.js';
export type { EngineMaker, ReachEngine } from './reach/reach-engine.js';
