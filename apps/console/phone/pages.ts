/** One file of the build for both screens, so that whoever has seen one can open the other without a connection. */
export { TodayPage } from './today-page';
export { VisitPage } from './visit-page';
