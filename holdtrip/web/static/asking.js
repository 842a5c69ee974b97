// Asks the server, with the form token on every request that changes something.
// An answer that is no success becomes an Error whose message is the server's one line, with the status.
const token = document.querySelector('meta[name="form-token"]').content;

export async function ask(address, options = {}) {
  const answer = await fetch(address, { credentials: "same-origin", ...options });
  if (!answer.ok) throw Object.assign(new Error(await answerToReason(answer)), { status: answer.status });
  return answer.status === 204 ? null : answer.json();
}

export function send(address, content, method = "POST") {
  return ask(address, {
    method,
    headers: { "X-Form-Token": token, "Content-Type": "application/json" },
    body: JSON.stringify(content),
  });
}

// Sends a file with its progress: told(share from 0 to 1).
export function sendFile(address, file, type, told) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", address);
    request.setRequestHeader("X-Form-Token", token);
    request.setRequestHeader("Content-Type", type);
    request.upload.onprogress = (event) => told(event.total ? event.loaded / event.total : 0);
    request.onerror = () => reject(new Error("the server does not answer"));
    request.onload = () => {
      if (request.status < 300) resolve(JSON.parse(request.responseText));
      else reject(new Error(textToReason(request.responseText, request.status)));
    };
    request.send(file);
  });
}

async function answerToReason(answer) {
  return textToReason(await answer.text(), answer.status);
}

function textToReason(text, status) {
  try {
    const detail = JSON.parse(text).detail;
    if (typeof detail === "string") return detail;
    return detail.map((one) => `${one.loc.slice(1).join(" ")}: ${one.msg}`).join("; ");
  } catch {
    return text.trim().slice(0, 300) || `the server says ${status}`;
  }
}

export function query(values) {
  const filled = Object.entries(values).filter(([, value]) => value !== "" && value !== null && value !== undefined);
  return new URLSearchParams(filled).toString();
}
