// Long work: start, list, stop, and links to what it wrote.
import { element } from "./draw.js";

const CODES = { 0: "held", 1: "a requirement is violated", 2: "it could not run", 5: "nothing to judge by" };

function stateWords(job) {
  if (job.state !== "ended") return job.state;
  return `ended with code ${job.code}${CODES[job.code] ? `: ${CODES[job.code]}` : ""}`;
}

export class Work {
  /// `asked`: adds the setting on the page to a request; `shows`: { table(job), map(job),
  /// awaited(job, done): the run that was started for its field has ended }.
  constructor(ask, asked, shows) {
    this.ask = ask;
    this.asked = asked;
    this.shows = shows;
    this.mapWhenDone = null;  // the job whose field is shown when it has ended
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
    await this.begin({ kind: this.kind.value, key: value("sweep-key"),
      from: value("sweep-from"), to: value("sweep-to"), steps: Number(value("sweep-steps")) });
  }
  async begin(work, mapped = false) {
    const answer = await this.ask("start", this.asked(work));
    this.said.textContent = answer.error ?? `${work.kind} has started.`;
    if (mapped && !answer.error) this.mapWhenDone = answer.jobs.at(-1).job;
    if (!answer.error) this.show(answer.jobs);
    return answer;
  }
  /// Runs the setting on all rows and shows the field when that has ended.
  async mapSetting() {
    return (await this.begin({ kind: "run" }, true)).error;
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
    const awaited = jobs.find((job) => job.job === this.mapWhenDone && ["ended", "stopped"].includes(job.state));
    if (awaited) {
      this.mapWhenDone = null;
      this.shows.awaited(awaited.job, awaited.files.length > 0);
    }
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
    for (const [kind, words, act] of [["delay", "Show its table", this.shows.table], ["run", "Show its map", this.shows.map]])
      if (job.kind === kind && job.state === "ended" && job.files.length) {
        const shows = element("button", { type: "button", [`data-${kind}`]: job.job }, words);
        shows.addEventListener("click", () => act(job.job));
        line.append(shows, " ");
      }
    for (const file of job.files)
      line.append(element("a", { href: `jobs/${job.job}/${file}`, target: "_blank", rel: "noopener" }, file), " ");
    line.append(element("br"), element("code", {}, job.last || job.command));
    return line;
  }
}
