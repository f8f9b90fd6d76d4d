export function startRows() {}
