// Long work: start, list, stop, and links to what it wrote.
import { element } from "./draw.js";

const CODES = { 0: "held", 1: "a requirement is violated", 2: "it could not run", 5: "nothing to judge by" };

function stateWords(job) {
  if (job.state !== "ended") return job.state;
  return `ended with code ${job.code}${CODES[job.code] ? `: ${CODES[job.code]}` : ""}`;
}

export class Work {
  constructor(ask, settings) {
    this.ask = ask;
    this.settings = settings;
    this.list = document.getElementById("jobs");
    this.said = document.getElementById("started");
    this.kind = document.getElementById("start-kind");
    this.kind.addEventListener("change", () => this.showAxis());
    document.getElementById("sweep-key").addEventListener("change", () => this.fillAxis());
    document.getElementById("start").addEventListener("submit", (event) => {
      event.preventDefault();
      this.start();
    });
  }

  setUp(keys) {
    this.sliders = keys.keys.filter((key) => key.slider);
    this.kind.replaceChildren(...keys.work.map((kind) => element("option", { value: kind }, kind)));
    document.getElementById("sweep-key").replaceChildren(
      ...this.sliders.map((key) => element("option", { value: key.key }, key.slider.label)));
    this.fillAxis();
    this.showAxis();
    this.look();
  }

  showAxis() {
    const sweeps = this.kind.value === "sweep";
    document.getElementById("sweep-axis").hidden = !sweeps && this.kind.value !== "search";
    document.getElementById("sweep-count").hidden = !sweeps;
  }

  fillAxis() {
    const key = this.sliders.find((one) => one.key === document.getElementById("sweep-key").value);
    document.getElementById("sweep-from").value = `${key.slider.from} ${key.unit}`;
    document.getElementById("sweep-to").value = `${key.slider.to} ${key.unit}`;
  }

  async start() {
    const value = (id) => document.getElementById(id).value;
    this.said.textContent = "";
    const answer = await this.ask("start", {
      kind: this.kind.value, settings: this.settings(), key: value("sweep-key"),
      from: value("sweep-from"), to: value("sweep-to"), steps: Number(value("sweep-steps")) });
    this.said.textContent = answer.error ?? `${this.kind.value} has started.`;
    if (!answer.error) this.show(answer.jobs);
  }

  async look() {
    const answer = await this.ask("jobs");
    if (!answer.error) this.show(answer.jobs);
  }

  show(jobs) {
    const held = document.activeElement?.dataset?.stop;
    this.list.replaceChildren(...jobs.map((job) => this.line(job)).reverse());
    if (held) this.list.querySelector(`[data-stop="${held}"]`)?.focus();
    clearTimeout(this.timer);
    const running = jobs.some((job) => job.state === "at work" || job.state === "stopping");
    if (running) this.timer = setTimeout(() => this.look(), 1500);
  }

  line(job) {
    const line = element("li", {}, element("b", {}, `Job ${job.job}: ${job.kind}`), ` – ${stateWords(job)}. `);
    if (job.state === "at work") {
      const stop = element("button", { type: "button", "data-stop": job.job }, `Stop job ${job.job}`);
      stop.addEventListener("click", async () => {
        const answer = await this.ask("stop", { job: job.job });
        if (!answer.error) this.show(answer.jobs);
      });
      line.append(stop);
    }
    for (const file of job.files)
      line.append(element("a", { href: `jobs/${job.job}/${file}`, target: "_blank", rel: "noopener" }, file), " ");
    line.append(element("br"), element("code", {}, job.last || job.command));
    return line;
  }
}
