// Before the first paint: the look this device was set to. A file of its own, because the page's policy forbids inline scripts.
try {
  var look = localStorage.getItem('rundlet-look');
  if (look && look !== 'auto') document.documentElement.dataset.look = look;
} catch (e) {
  void e; // Storage is switched off: the system's preference holds.
}
