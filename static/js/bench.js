export function startBench() {}
