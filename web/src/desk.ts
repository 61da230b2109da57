// Small helps over pages that work without them.

/** Plus and minus beside number inputs: for a hand in a glove. */
function steppers(): void {
  for (const button of document.querySelectorAll<HTMLButtonElement>("button[data-step]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const input = document.getElementById(button.dataset["for"] ?? "");
      if (!(input instanceof HTMLInputElement)) return;
      const step = Number(button.dataset["step"]);
      const now = input.value === "" ? 0 : Number(input.value);
      const low = input.min === "" ? -Infinity : Number(input.min);
      const places = (String(step).split(".")[1] ?? "").length;
      input.value = Math.max(low, now + step).toFixed(places);
    });
  }
}

/** A form sent once is not sent again by a second tap. The entry's id makes a resend harmless all the same. */
function oneSend(): void {
  for (const form of document.querySelectorAll<HTMLFormElement>("form[method=post]")) {
    form.addEventListener("submit", (event) => {
      if (form.dataset["sent"] === "yes") event.preventDefault();
      form.dataset["sent"] = "yes";
    });
  }
}

/** Focus goes to the first thing that is wrong. */
function toFirstProblem(): void {
  document.querySelector<HTMLElement>("[aria-invalid=true]")?.focus();
}

/** A file chosen for a boundary is read into the box beside it, where it can be seen before it is sent. */
function readFiles(): void {
  for (const input of document.querySelectorAll<HTMLInputElement>("input[type=file][data-into]")) {
    input.hidden = false;
    input.addEventListener("change", async () => {
      const box = document.getElementById(input.dataset["into"] ?? "");
      const file = input.files?.[0];
      if (box instanceof HTMLTextAreaElement && file) box.value = await file.text();
    });
  }
}

/** A picture for each day, run one after another. The reader starts it: nothing moves by itself. */
function films(): void {
  for (const film of document.querySelectorAll<HTMLElement>("[data-film]")) {
    const frames = [...film.querySelectorAll<SVGGElement>("g.frame")];
    const at = film.querySelector<HTMLInputElement>("[data-film-at]");
    const run = film.querySelector<HTMLButtonElement>("[data-film-run]");
    const said = film.querySelector<HTMLElement>("[data-film-said]");
    if (!at || !run || !said) continue;
    film.hidden = false;
    let timer = 0;
    const show = (n: number): void => {
      frames.forEach((f, i) => (i === n ? f.removeAttribute("hidden") : f.setAttribute("hidden", "")));
      at.value = String(n);
      const day = frames[n]?.dataset["day"] ?? "";
      said.textContent = day;
      at.setAttribute("aria-valuetext", day);
    };
    const stop = (): void => {
      window.clearInterval(timer);
      timer = 0;
      run.textContent = "Run it";
      run.setAttribute("aria-pressed", "false");
    };
    at.addEventListener("input", () => { stop(); show(Number(at.value)); });
    run.addEventListener("click", () => {
      if (timer !== 0) return stop();
      run.textContent = "Stop";
      run.setAttribute("aria-pressed", "true");
      if (Number(at.value) >= frames.length - 1) show(0);
      timer = window.setInterval(() => {
        const next = Number(at.value) + 1;
        if (next >= frames.length) stop();
        else show(next);
      }, 350);
    });
    show(0);
  }
}

/** Coming back by the back button, a form may be sent again. */
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll<HTMLFormElement>("form")) delete form.dataset["sent"];
});

steppers();
oneSend();
toFirstProblem();
readFiles();
films();
