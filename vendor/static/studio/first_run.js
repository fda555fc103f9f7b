// Offers the device's own time zone and measures, as long as nothing was chosen yet.
const zone = document.querySelector("select[name$=time_zone]");
const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
if (zone instanceof HTMLSelectElement && zone.value === "UTC") {
  const offered = [...zone.options].some((option) => option.value === own);
  if (offered) zone.value = own;
}
const units = document.querySelector("select[name$=units]");
const inches = ["US", "LR", "MM"].includes(new Intl.Locale(navigator.language).region ?? "");
if (units instanceof HTMLSelectElement && inches && !document.querySelector(".summary")) {
  units.value = "in";
}
