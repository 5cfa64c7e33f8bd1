import { address, get, getList, put } from './client';
import type { StepList, StepListRef } from './types';

/** The newest version of each list. */
export const stepLists = () => getList<StepList>(address(['step-lists']));
export const stepList = (ref: StepListRef) => get<StepList>(address(['step-lists', ref.id, String(ref.version)]));
/** A new id makes a copy; an existing one the next version. */
export const putStepList = (list: StepList) => put<StepList>(address(['step-lists', list.id]), list);
