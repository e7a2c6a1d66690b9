export * from '../export/sheet-figures.ts';
