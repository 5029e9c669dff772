/** Numbers by key, the smallest key first; among equal keys the one put in last. */
export class NodeHeap {
  private readonly keys: number[] = [];
  private readonly values: number[] = [];

  get size(): number {
    return this.keys.length;
  }

  push(key: number, value: number): void {
    let at = this.keys.length;
    this.keys.push(key);
    this.values.push(value);
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if ((this.keys[parent] ?? 0) < key) break;
      this.move(parent, at);
      at = parent;
    }
    this.keys[at] = key;
    this.values[at] = value;
  }

  pop(): number | undefined {
    const top = this.values[0];
    const key = this.keys.pop();
    const value = this.values.pop();
    const size = this.keys.length;
    if (key === undefined || value === undefined || size === 0) return top;
    let at = 0;
    for (;;) {
      let child = 2 * at + 1;
      if (child >= size) break;
      if (child + 1 < size && (this.keys[child + 1] ?? 0) < (this.keys[child] ?? 0)) child += 1;
      if ((this.keys[child] ?? 0) >= key) break;
      this.move(child, at);
      at = child;
    }
    this.keys[at] = key;
    this.values[at] = value;
    return top;
  }

  private move(from: number, to: number): void {
    this.keys[to] = this.keys[from] ?? 0;
    this.values[to] = this.values[from] ?? 0;
  }
}
