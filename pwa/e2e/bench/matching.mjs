export const cases = [];
