// A field to sign in with a finger: the strokes go along in the form as plain numbers.
(() => {
  const WIDE = 600;
  const HIGH = 200;

  const ready = (box) => {
    const canvas = box.querySelector("canvas");
    const field = box.querySelector("input[name=strokes]");
    const pen = canvas.getContext("2d");
    let strokes = [];
    try { strokes = JSON.parse(field.value || "[]"); } catch { strokes = []; }
    let going = null;

    const draw = () => {
      pen.setTransform(canvas.width / WIDE, 0, 0, canvas.height / HIGH, 0, 0);
      pen.clearRect(0, 0, WIDE, HIGH);
      pen.lineWidth = 3;
      pen.lineCap = pen.lineJoin = "round";
      pen.strokeStyle = "#111";
      strokes.forEach((stroke) => {
        pen.beginPath();
        stroke.forEach(([x, y], at) => (at ? pen.lineTo(x, y) : pen.moveTo(x, y)));
        pen.stroke();
      });
    };
    const keep = () => { field.value = strokes.length ? JSON.stringify(strokes) : ""; };
    const point = (event) => {
      const seen = canvas.getBoundingClientRect();
      return [
        Math.round((event.clientX - seen.left) / seen.width * WIDE),
        Math.round((event.clientY - seen.top) / seen.height * HIGH),
      ];
    };

    canvas.addEventListener("pointerdown", (event) => {
      if (going !== null) return;
      going = event.pointerId;
      canvas.setPointerCapture(going);
      strokes.push([point(event)]);
      event.preventDefault();
    });
    canvas.addEventListener("pointermove", (event) => {
      if (event.pointerId !== going) return;
      strokes.at(-1).push(point(event));
      draw();
    });
    const end = (event) => {
      if (event.pointerId !== going) return;
      going = null;
      keep();
    };
    canvas.addEventListener("pointerup", end);
    canvas.addEventListener("pointercancel", end);
    box.querySelector("[data-sign-clear]").addEventListener("click", () => {
      strokes = [];
      keep();
      draw();
    });
    box.hidden = false;
    draw();
  };

  document.querySelectorAll("[data-sign-without]").forEach((told) => { told.hidden = true; });
  document.querySelectorAll("[data-sign]").forEach(ready);
})();
