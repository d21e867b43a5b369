/** Parts of the month end whose words come with those of the later screens. */
export { UntoldBoxes } from '../collections/untold-box';
export { NoTolerance } from '../variances/no-tolerance';
