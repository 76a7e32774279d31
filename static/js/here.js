// "Use my position": fills the coordinate fields of a [data-here] block from the device.

for (const block of document.querySelectorAll("[data-here]")) {
  if (!("geolocation" in navigator)) break;
  const [lat, lon, accuracy] = block.dataset.here
    .split(" ")
    .map((name) => document.getElementById(`id_${name}`));
  const template = document.getElementById("here-words");
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet";
  button.textContent = template.dataset.ask;
  const said = document.createElement("p");
  said.className = "help";
  said.setAttribute("role", "status");
  button.addEventListener("click", () => {
    said.textContent = template.dataset.wait;
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        lat.value = coords.latitude.toFixed(6);
        lon.value = coords.longitude.toFixed(6);
        if (accuracy) {
          accuracy.value = Math.ceil(coords.accuracy / Number(template.dataset.metres));
        }
        said.textContent = template.dataset.done;
        document.dispatchEvent(new Event("here"));
      },
      () => {
        said.textContent = template.dataset.failed;
      },
      { enableHighAccuracy: true, timeout: 20000, maximumAge: 10000 },
    );
  });
  block.prepend(button, said);
}
