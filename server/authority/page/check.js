// Says which step is missing: is the name found on this network, and is the certificate trusted?
const says = document.getElementById('says');
const { origin, name } = says.dataset;

const answers = (url) => fetch(url, { mode: 'no-cors', cache: 'no-store', credentials: 'omit' }).then(() => true, () => false);

async function look() {
  says.textContent = 'This page is looking.';
  if (await answers(`${origin}/healthz`)) {
    says.textContent = 'Nothing is missing: this phone trusts the certificate. Open the tool by its name and put it on the home screen.';
  } else if (await answers(`http://${name}${location.port === '' ? '' : `:${location.port}`}/here`)) {
    says.textContent = 'The certificate is not trusted yet: steps 1 and 2. On an iPhone the switch under Certificate Trust Settings is often what is missing.';
  } else {
    says.textContent = `This phone does not find the name ${name}. Is it on the workshop's Wi-Fi? If others find it, switch the Wi-Fi off and on; if nobody does, the router does not know the name yet.`;
  }
}

document.getElementById('again').addEventListener('click', look);
void look();
