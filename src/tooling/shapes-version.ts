/** Raised whenever a tool's shape changes for the same job, so that prints from before are told apart. */
export const VERSION_OF_SHAPES = 3;
